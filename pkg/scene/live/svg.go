package live

import (
	"fmt"
	"html"
	"image/color"
	"math"
	"strconv"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/scene/internal/sheet"
)

// fonts are measured like the one that the layout was made with. Where a system
// has none of them, letters are made narrower or wider to take the same room:
// with the gaps alone narrowed, a minus lay on the digit beside it.
const fonts = "Liberation Sans, Arimo, Arial, Helvetica, sans-serif"

// fine is how many units of a path are one point: coordinates are whole
// numbers, which are short.
const fine = 10

// SVG returns a sheet as an SVG document that the script can make live. It
// holds no script itself.
func SVG(s sheet.Sheet) string {
	w := &writer{sheet: s}
	body := w.body()
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" class="bb bb-auto" viewBox="0 0 %s %s" width="%s" height="%s" role="img" aria-label="%s" font-family="%s">`,
		number(s.Width), number(s.Height), number(s.Width*4/3), number(s.Height*4/3), html.EscapeString(s.Title), fonts)
	b.WriteString("<style>" + DarkRules(body) + "</style>")
	fmt.Fprintf(&b, `<rect class="bb-paper" width="%s" height="%s" fill="#ffffff"/>`, number(s.Width), number(s.Height))
	b.WriteString(body)
	for i, p := range s.Plots {
		b.WriteString(area(i, p))
	}
	b.WriteString("</svg>")
	return b.String()
}

// area is the invisible rectangle that tells the script what lies in a plot.
func area(i int, p sheet.Plot) string {
	tell := fmt.Sprintf(`data-plot="%d" data-group="%d" data-x="%v %v" data-y="%v %v" data-axis="%s" data-unit="%s"`, i, p.Group, p.X.From, p.X.To, p.Y.From, p.Y.To,
		html.EscapeString(p.Axis), html.EscapeString(p.Unit))
	if p.Second != nil {
		tell += fmt.Sprintf(` data-second="%v %v %s"`, p.Second.Factor, p.Second.Offset, html.EscapeString(p.Second.Unit))
	}
	if p.Below != nil {
		tell += fmt.Sprintf(` data-below="%v %v %s"`, p.Below.Factor, p.Below.Offset, html.EscapeString(p.Below.Unit))
	}
	if len(p.Categories) > 0 {
		tell += fmt.Sprintf(` data-categories="%s"`, html.EscapeString(strings.ReplaceAll(strings.Join(p.Categories, "|"), "\n", ", ")))
	}
	b := p.Box
	return fmt.Sprintf(`<rect class="bb-area" %s x="%s" y="%s" width="%s" height="%s" fill="none"/>`, tell,
		number(b.Left), number(b.Top), number(b.Right-b.Left), number(b.Bottom-b.Top))
}

type writer struct {
	sheet sheet.Sheet
	b     strings.Builder
}

// body writes the items in their order; neighbours of one plot and movement
// share a group.
func (w *writer) body() string {
	items := w.sheet.Items
	for a := 0; a < len(items); {
		z := a + 1
		for z < len(items) && items[z].Plot == items[a].Plot && items[z].Movement == items[a].Movement {
			z++
		}
		w.group(items[a:z])
		a = z
	}
	return w.b.String()
}

func (w *writer) group(items []sheet.Item) {
	first := items[0]
	switch {
	case first.Plot == sheet.None || first.Movement == sheet.Fixed:
		w.resting(items)
	case first.Movement == sheet.OfAxis, first.Movement == sheet.OfBelow:
		scale := ""
		if first.Movement == sheet.OfBelow {
			scale = ` data-scale="below"`
		}
		fmt.Fprintf(&w.b, `<g class="bb-t" data-plot="%d"%s>`, first.Plot, scale)
		w.resting(items)
		w.b.WriteString("</g>")
	default: // an svg in the svg clips what it holds
		box := w.sheet.Plots[first.Plot].Box
		fmt.Fprintf(&w.b, `<svg class="bb-v" data-plot="%d" x="%s" y="%s" width="%s" height="%s">`, first.Plot,
			number(box.Left), number(box.Top), number(box.Right-box.Left), number(box.Bottom-box.Top))
		w.moving(items, box)
		w.b.WriteString("</svg>")
	}
}

func (w *writer) resting(items []sheet.Item) {
	for _, it := range items {
		w.item(it, 0, 0)
	}
}

func (w *writer) moving(items []sheet.Item, box sheet.Box) {
	if items[0].Movement == sheet.Stretches {
		w.b.WriteString(`<g class="bb-s" transform="scale(.1)">`)
		for _, it := range items {
			w.stretched(*it.Shape, box)
		}
		w.b.WriteString("</g>")
		return
	}
	for _, it := range items {
		fmt.Fprintf(&w.b, `<g class="bb-f" data-at="%s">`, number(it.At-box.Left))
		w.item(it, box.Left, box.Top)
		w.b.WriteString("</g>")
	}
}

// item writes a text or shape, x0 and y0 to the right of and below its origin.
func (w *writer) item(it sheet.Item, x0, y0 float64) {
	if t := it.Words; t != nil {
		w.text(*t, x0, y0)
	}
	if it.Shape != nil {
		w.plain(*it.Shape, x0, y0)
	}
}

func (w *writer) text(t sheet.Text, x0, y0 float64) {
	x, y := number(t.X-x0), number(t.Y-y0)
	if t.Halo {
		b := t.Box()
		fmt.Fprintf(&w.b, `<rect x="%s" y="%s" width="%s" height="%s" fill="#ffffff" fill-opacity="0.8"/>`,
			number(b.Left-1-x0), number(b.Top-1-y0), number(b.Right-b.Left+2), number(b.Bottom-b.Top+2))
	}
	fmt.Fprintf(&w.b, `<text x="%s" y="%s" font-size="%s" textLength="%s" lengthAdjust="spacingAndGlyphs"%s`, x, y, number(t.Size), number(sheet.Width(t.S, t.Size)), paint("fill", t.Color))
	switch t.Anchor {
	case sheet.Middle:
		w.b.WriteString(` text-anchor="middle"`)
	case sheet.End:
		w.b.WriteString(` text-anchor="end"`)
	}
	if t.Upright {
		fmt.Fprintf(&w.b, ` transform="rotate(-90 %s %s)"`, x, y)
	}
	w.b.WriteString(">" + html.EscapeString(t.S) + "</text>")
}

// plain writes a shape that is never stretched.
func (w *writer) plain(s sheet.Shape, x0, y0 float64) {
	if s.Dots {
		for _, r := range s.Runs {
			radius, style := s.Stroke.Width/2, paint("fill", s.Stroke.Color)
			if s.Hollow {
				radius, style = radius-sheet.Ring/2, ` fill="#ffffff" stroke-width="`+number(sheet.Ring)+`"`+paint("stroke", s.Stroke.Color)
			}
			fmt.Fprintf(&w.b, `<circle cx="%s" cy="%s" r="%s"%s/>`, number(r[0].X-x0), number(r[0].Y-y0), number(radius), style)
		}
		return
	}
	var d strings.Builder
	for _, r := range s.Runs {
		for k, q := range r {
			if k == 0 {
				d.WriteByte('M')
			} else {
				d.WriteByte('L')
			}
			d.WriteString(number(q.X-x0) + " " + number(q.Y-y0))
		}
	}
	fmt.Fprintf(&w.b, `<path d="%s"%s/>`, d.String(), drawn(s))
}

// stretched writes a shape in whole tenths of a point from the box' corner.
func (w *writer) stretched(s sheet.Shape, box sheet.Box) {
	d := outline(s, box)
	if d == "" {
		return
	}
	name := ""
	if s.Name != "" {
		name = ` data-name="` + html.EscapeString(s.Name) + `"`
	}
	if !s.Dots {
		effect := ""
		if s.Stroke.Width > 0 {
			effect = ` vector-effect="non-scaling-stroke"`
		}
		fmt.Fprintf(&w.b, `<path d="%s"%s%s%s/>`, d, name, drawn(s), effect)
		return
	}
	const round = ` fill="none" stroke-linecap="round" vector-effect="non-scaling-stroke"`
	fmt.Fprintf(&w.b, `<path class="bb-d" d="%s"%s stroke-width="%s"%s%s/>`, d, name, number(s.Stroke.Width), paint("stroke", s.Stroke.Color), round)
	if s.Hollow {
		fmt.Fprintf(&w.b, `<path class="bb-d" d="%s" stroke-width="%s" stroke="#ffffff"%s/>`, d, number(s.Stroke.Width-2*sheet.Ring), round)
	}
}

// outline writes runs as a path with relative steps.
func outline(s sheet.Shape, box sheet.Box) string {
	var d []byte
	add := func(command byte, x, y int) {
		if command != 0 {
			d = append(d, command)
		} else if x >= 0 {
			d = append(d, ' ')
		}
		d = strconv.AppendInt(d, int64(x), 10)
		if y >= 0 {
			d = append(d, ' ')
		}
		d = strconv.AppendInt(d, int64(y), 10)
	}
	for _, r := range s.Runs {
		x0, y0 := 0, 0
		for k, q := range r {
			x, y := int(math.Round(fine*(q.X-box.Left))), int(math.Round(fine*(q.Y-box.Top)))
			switch k {
			case 0:
				add('M', x, y)
				if len(r) == 1 {
					d = append(d, "h0"...)
				}
			case 1:
				add('l', x-x0, y-y0)
			default:
				add(0, x-x0, y-y0)
			}
			x0, y0 = x, y
		}
		if s.Fill.A > 0 {
			d = append(d, 'z')
		}
	}
	return string(d)
}

func drawn(s sheet.Shape) string {
	out := ` fill="none"`
	if s.Fill.A > 0 {
		out = paint("fill", s.Fill)
	}
	if s.Stroke.Width > 0 {
		out += paint("stroke", s.Stroke.Color) + ` stroke-width="` + number(s.Stroke.Width) + `"`
		if len(s.Stroke.Dash) > 0 {
			var dash []string
			for _, v := range s.Stroke.Dash {
				dash = append(dash, number(v))
			}
			out += ` stroke-dasharray="` + strings.Join(dash, " ") + `"`
		} else {
			out += ` stroke-linejoin="round"`
		}
	}
	return out
}

func paint(what string, c color.NRGBA) string {
	out := fmt.Sprintf(` %s="%s"`, what, hex(c))
	if c.A < 255 {
		out += fmt.Sprintf(` %s-opacity="%s"`, what, strconv.FormatFloat(float64(c.A)/255, 'f', 2, 64))
	}
	return out
}

// number writes a length to a twentieth of a pixel or so.
func number(v float64) string {
	return strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64)
}
