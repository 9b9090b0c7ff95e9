package live

import (
	"fmt"
	"image/color"
	"math"
	"regexp"
	"slices"
	"strings"
)

var painted = regexp.MustCompile(`(fill|stroke)="#([0-9a-f]{6})"`)

// DarkRules returns the style rules that turn the colours of an SVG drawing to
// those for dark pages: for drawings of the class bb-auto where the person's
// settings say dark, for those of the class bb-dark everywhere.
func DarkRules(svg string) string {
	rules := []string{darkRule("fill", "ffffff")}
	for _, m := range painted.FindAllStringSubmatch(svg, -1) {
		rules = append(rules, darkRule(m[1], m[2]))
	}
	slices.Sort(rules)
	rules = slices.Compact(rules)
	var b strings.Builder
	b.WriteString("@media screen and (prefers-color-scheme:dark){")
	for _, r := range rules {
		b.WriteString(".bb-auto " + r)
	}
	b.WriteString("}")
	for _, r := range rules {
		b.WriteString(".bb-dark " + r)
	}
	return b.String()
}

// darkRule turns one colour of fills or strokes. White is the paper.
func darkRule(what, code string) string {
	to := DarkPaper
	if code != "ffffff" {
		to = Dark(fromHex(code))
	}
	return fmt.Sprintf(`[%s="#%s"]{%s:%s}`, what, code, what, hex(to))
}

func fromHex(s string) color.NRGBA {
	var c color.NRGBA
	fmt.Sscanf(s, "%02x%02x%02x", &c.R, &c.G, &c.B)
	c.A = 255
	return c
}

func hex(c color.NRGBA) string { return fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B) }

// DarkPaper is the ground that colours for dark pages are made for.
var DarkPaper = color.NRGBA{0x19, 0x1c, 0x1e, 255}

// Dark returns the colour that stands on a dark page for one on white: greys
// change places from light to dark, colours keep their hue and get as light as
// they need to be seen.
func Dark(c color.NRGBA) color.NRGBA {
	l, a, b := toOKLab(c)
	paper, _, _ := toOKLab(DarkPaper)
	if math.Hypot(a, b) < 0.03 {
		return fromOKLab(paper+(1-l)*(0.91-paper)/0.75, a, b, c.A)
	}
	return fromOKLab(math.Max(l, 0.62+0.25*(l-0.4)), a, b, c.A)
}

// OKLab: B. Ottosson, "A perceptual color space for image processing", 2020.
func toOKLab(c color.NRGBA) (l, a, b float64) {
	r, g, bl := linear(c.R), linear(c.G), linear(c.B)
	p := math.Cbrt(0.4122214708*r + 0.5363325363*g + 0.0514459929*bl)
	q := math.Cbrt(0.2119034982*r + 0.6806995451*g + 0.1073969566*bl)
	s := math.Cbrt(0.0883024619*r + 0.2817188376*g + 0.6299787005*bl)
	return 0.2104542553*p + 0.7936177850*q - 0.0040720468*s,
		1.9779984951*p - 2.4285922050*q + 0.4505937099*s,
		0.0259040371*p + 0.7827717662*q - 0.8086757660*s
}

func fromOKLab(l, a, b float64, alpha uint8) color.NRGBA {
	p, q, s := l+0.3963377774*a+0.2158037573*b, l-0.1055613458*a-0.0638541728*b, l-0.0894841775*a-1.2914855480*b
	p, q, s = p*p*p, q*q*q, s*s*s
	return color.NRGBA{
		coded(4.0767416621*p - 3.3077115913*q + 0.2309699292*s),
		coded(-1.2684380046*p + 2.6097574011*q - 0.3413193965*s),
		coded(-0.0041960863*p - 0.7034186147*q + 1.7076147010*s), alpha}
}

// linear and coded are the transfer function of sRGB, IEC 61966-2-1, and back.
func linear(v uint8) float64 {
	x := float64(v) / 255
	if x <= 0.04045 {
		return x / 12.92
	}
	return math.Pow((x+0.055)/1.055, 2.4)
}

func coded(x float64) uint8 {
	x = math.Min(1, math.Max(0, x))
	if x <= 0.0031308 {
		x *= 12.92
	} else {
		x = 1.055*math.Pow(x, 1/2.4) - 0.055
	}
	return uint8(math.Round(255 * x))
}
