package chart

import (
	"image/color"
	"math"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/scene/live"
)

// How colours look with one kind of cones missing, on linear RGB: Machado,
// Oliveira and Fernandes, "A Physiologically-based Model for Simulation of
// Color Vision Deficiency", IEEE TVCG 15 (2009), severity 1.0 (from memory).
var sights = map[string][3][3]float64{
	"all cones":    {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
	"protanopia":   {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
	"deuteranopia": {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
	"tritanopia":   {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
}

func linearRGB(c color.NRGBA) (v [3]float64) {
	for i, b := range []uint8{c.R, c.G, c.B} {
		x := float64(b) / 255
		if v[i] = x / 12.92; x > 0.04045 {
			v[i] = math.Pow((x+0.055)/1.055, 2.4)
		}
	}
	return v
}

// lab gives CIE 1976 L*a*b* of linear sRGB (IEC 61966-2-1, white D65).
func lab(v [3]float64) [3]float64 {
	f := func(t float64) float64 {
		if t > 216.0/24389 {
			return math.Cbrt(t)
		}
		return (24389.0/27*t + 16) / 116
	}
	x := f((0.4124564*v[0] + 0.3575761*v[1] + 0.1804375*v[2]) / 0.95047)
	y := f(0.2126729*v[0] + 0.7151522*v[1] + 0.0721750*v[2])
	z := f((0.0193339*v[0] + 0.1191920*v[1] + 0.9503041*v[2]) / 1.08883)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

func seen(c color.NRGBA, m [3][3]float64) [3]float64 {
	v, out := linearRGB(c), [3]float64{}
	for i := range out {
		out[i] = math.Min(1, math.Max(0, m[i][0]*v[0]+m[i][1]*v[1]+m[i][2]*v[2]))
	}
	return lab(out)
}

// Every two kinds of driving differ by ΔE 10 or more for everybody, on white
// and on dark pages, by the full colours of their strips.
func TestKindsAreToldApart(t *testing.T) {
	for a, ca := range kindColors {
		for b, cb := range kindColors {
			if a < b {
				toldApart(t, a, b, ca, cb)
			}
		}
	}
}

// So do every two shades of a map.
func TestShadesAreToldApart(t *testing.T) {
	for i := range Shades {
		for j := range i {
			toldApart(t, i, j, Shades[i], Shades[j])
		}
	}
}

func toldApart(t *testing.T, a, b any, ca, cb color.NRGBA) {
	t.Helper()
	for sight, m := range sights {
		for ground, of := range map[string]func(color.NRGBA) color.NRGBA{"white": func(c color.NRGBA) color.NRGBA { return c }, "dark": live.Dark} {
			p, q := seen(of(ca), m), seen(of(cb), m)
			if d := math.Hypot(math.Hypot(p[0]-q[0], p[1]-q[1]), p[2]-q[2]); d < 10 {
				t.Errorf("%v and %v differ by %.1f with %s on %s pages", a, b, d, sight, ground)
			}
		}
	}
}

// contrast: WCAG 2.1, relative luminance and contrast ratio.
func contrast(a, b color.NRGBA) float64 {
	lum := func(c color.NRGBA) float64 {
		v := linearRGB(c)
		return 0.2126*v[0] + 0.7152*v[1] + 0.0722*v[2]
	}
	hi, lo := lum(a), lum(b)
	return (math.Max(hi, lo) + 0.05) / (math.Min(hi, lo) + 0.05)
}

// All colours of lines, points and strips stand out from the page by 3 to 1
// (WCAG 2.1, criterion 1.4.11), white or dark.
func TestColoursStandOut(t *testing.T) {
	all := append([]color.NRGBA{black, orange, skyBlue, green, blue, vermilion, purple, grey}, Shades[:]...)
	for _, c := range kindColors {
		all = append(all, c)
	}
	for _, c := range all {
		if r := contrast(c, color.NRGBA{255, 255, 255, 255}); r < 3 {
			t.Errorf("%v on white: %.2f", c, r)
		}
		if r := contrast(live.Dark(c), live.DarkPaper); r < 3 {
			t.Errorf("%v on dark: %.2f", c, r)
		}
	}
}
