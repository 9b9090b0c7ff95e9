package document

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"math"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// PageMark stands in the head of every page that is written here.
const PageMark = `<meta name="generator" content="bonnetbook verdict">`

//go:embed page.html
var pageText string

// pageTemplate says numbers in the usual units; WritePage takes those that are
// wanted.
var pageTemplate = template.Must(template.New("page").Funcs(Verdict{}.funcs()).Funcs(template.FuncMap{
	"most":   func(n int, all []Flaw) []Flaw { return all[:min(n, len(all))] },
	"beyond": func(n int, all []Flaw) int { return max(0, len(all)-n) },
	"span":   Power.span,
	"text":   func(p Pull) string { return p.text },
	"day":    day,
}).Parse(pageText))

// funcs say numbers in the units that are wanted.
func (v Verdict) funcs() template.FuncMap {
	return template.FuncMap{
		"kelvins": func(n Number) string { return v.difference(n, "%.1f") },
		"change":  func(n Number) string { return v.difference(n, "%+.1f") },
		"celsius": func(n Number) string { return v.temperature(n, "%.0f") },
	}
}

// WrittenHere reports whether a file is a page of this command's.
func WrittenHere(data []byte) bool {
	return bytes.Contains(data[:min(len(data), 1024)], []byte(PageMark))
}

// page is what the template sees.
type page struct {
	Verdict
	Mark          template.HTML
	Lead          string   // the first clause of the sentence
	Rest          []string // the others
	Without       string   // what leaving out one drive does; empty where nothing is known
	Picture       picture
	Between       string // what the ends of the intervals are called
	Contributions *bars  // nil where nothing is known of them
	More          []page // of the other configurations
	Told          int    // flaws that the first comparison has told, which are not told again
}

// WritePage writes the verdict as one page that loads nothing from elsewhere.
func (v Verdict) WritePage(w io.Writer) error {
	t, err := pageTemplate.Clone()
	if err != nil {
		return err
	}
	return t.Funcs(v.funcs()).Execute(w, v.page())
}

func (v Verdict) page() page {
	p := page{Verdict: v, Mark: PageMark, Lead: v.Sentence, Without: v.withoutOne(), Picture: v.picture(), Between: v.between(), Contributions: v.contributions()}
	if len(v.clauses) > 0 {
		p.Lead, p.Rest = v.clauses[0], v.clauses[1:]
	}
	for _, other := range v.Others {
		p.More = append(p.More, other.page().after(v.Flaws))
	}
	return p
}

// Driven reports whether any kind of driving was met.
func (p page) Driven() bool {
	return slices.ContainsFunc(p.Strata, func(s Stratum) bool { return s.DrivesBefore+s.DrivesAfter > 0 })
}

// after leaves out the flaws that were told before; those that block an answer stay
// with it.
func (p page) after(told []Flaw) page {
	own := slices.DeleteFunc(slices.Clone(p.Flaws), func(f Flaw) bool {
		return !f.Blocks && slices.ContainsFunc(told, func(g Flaw) bool { return g.Kind == f.Kind && g.Text == f.Text })
	})
	p.Flaws, p.Told = own, len(p.Flaws)-len(own)
	return p
}

// between names the column of the intervals, with their level.
func (v Verdict) between() string {
	if s, ok := v.primary(); ok && s.Level.Known() {
		return fmt.Sprintf("between (%.3g %%)", 100*float64(s.Level))
	}
	return "between"
}

// primary is the kind of driving that counts.
func (v Verdict) primary() (Stratum, bool) {
	at := slices.IndexFunc(v.Strata, func(s Stratum) bool { return s.ID == v.Primary })
	if at < 0 {
		return Stratum{}, false
	}
	return v.Strata[at], true
}

// withoutOne says between what the change would lie if any one drive were left out.
func (v Verdict) withoutOne() string {
	var all []float64
	for _, x := range v.Influence {
		all = append(all, finite(x.ChangeWithout)...)
	}
	if len(all) == 0 {
		return ""
	}
	return "Without any one of the drives the change would be " + v.units.Span(quantity.KindTemperatureDifference, "%+.1f", slices.Min(all), slices.Max(all)) + "."
}

// bars hold who contributes how much to the interval of the primary.
type bars struct {
	Height float64
	Bars   []bar
}

type bar struct {
	Y, Width     float64
	Label, Share string
}

// Shares below this are not worth a bar, and this many are enough.
const leastShare, mostBars = 0.01, 5

func (v Verdict) contributions() *bars {
	s, ok := v.primary()
	if !ok {
		return nil
	}
	var b bars
	for _, c := range s.Budget {
		if float64(c.Share) < leastShare || len(b.Bars) == mostBars {
			continue
		}
		b.Bars = append(b.Bars, bar{12 + 24*float64(len(b.Bars)), 360 * float64(c.Share), shorten(c.label, 48), fmt.Sprintf("%.0f %%", 100*float64(c.Share))})
	}
	if len(b.Bars) == 0 {
		return nil
	}
	b.Height = 24 * float64(len(b.Bars))
	return &b
}

func day(rfc *string) string {
	if rfc == nil || len(*rfc) < 10 {
		return "no date"
	}
	return (*rfc)[:10]
}

// A picture holds each drive as a point, in units of an SVG that is 360 wide.
type picture struct {
	Height float64
	Name   string // of the kind of driving
	Points []mark
	Ticks  []tick
	Rows   []float64 // where the symbols of each row begin: lines of the grid stand there, off the words
	Means  []span
	Beyond bool   // an interval reaches further than is drawn
	Level  string // of the intervals
}

type mark struct {
	X, Y   float64
	After  bool
	Label  string
	Detail string
	Value  string // stands beside the symbol, on its left where Left says so
	Left   bool
}

type tick struct {
	X    float64
	Text string
}

// span is a mean with its interval.
type span struct {
	X, Low, High, Y float64
	After           bool
	Label           string
	Detail          string
	Cut             []arrow // where it goes on beyond the picture
}

// arrow is the outline of an arrow head.
type arrow struct {
	D     string
	After bool
}

// The geometry of the picture.
const (
	left, right = 14.0, 346.0
	rowHeight   = 30.0
	mostRows    = 14
)

func (v Verdict) picture() picture {
	var p picture
	s, ok := v.primary()
	if !ok {
		return p
	}
	p.Name = s.Name
	var drives []Driven
	var values []float64
	means := v.means(s)
	for _, m := range means {
		values = append(values, float64(m.rise.ValueK))
	}
	for _, d := range v.Drives {
		if d.RiseK.Known() {
			drives = append(drives, d)
			values = append(values, float64(d.RiseK))
		}
	}
	if len(values) == 0 {
		return p
	}
	slices.SortStableFunc(drives, func(a, b Driven) int { return strings.Compare(day(a.Start), day(b.Start)) })
	least, most := reach(values, means)
	low, high := least, most
	x := func(k float64) float64 {
		return math.Max(left, math.Min(right, left+(right-left)*(k-least)/(most-least)))
	}
	y := 22.0
	for i, d := range drives {
		if i == mostRows {
			break
		}
		at := x(float64(d.RiseK))
		p.Points = append(p.Points, mark{X: at, Y: y + 14, After: d.Configuration == v.After, Label: shorten(d.Name, 28),
			Detail: fmt.Sprintf("%s, %s outside", day(d.Start), v.temperature(d.AmbientC, "%.0f")),
			Value:  v.difference(d.RiseK, "%.1f"), Left: at > 300})
		y += rowHeight
	}
	for _, m := range means {
		out := span{X: x(float64(m.rise.ValueK)), Y: y + 14, After: m.after, Label: fmt.Sprintf("mean of %d, %s", m.drives, shorten(m.name, 22)), Detail: v.difference(m.rise.ValueK, "%.1f")}
		out.Low, out.High = out.X, out.X
		if m.rise.LowK.Known() && m.rise.HighK.Known() {
			out.Low, out.High = x(float64(m.rise.LowK)), x(float64(m.rise.HighK))
			out.Detail = v.difference(m.rise.ValueK, "%.1f") + " (" + v.units.Span(quantity.KindTemperatureDifference, "%.1f", float64(m.rise.LowK), float64(m.rise.HighK)) + ")"
			if float64(m.rise.LowK) < least {
				out.Cut = append(out.Cut, arrow{fmt.Sprintf("M%g %gl8 -4v8z", left-6, y+16), m.after})
			}
			if float64(m.rise.HighK) > most {
				out.Cut = append(out.Cut, arrow{fmt.Sprintf("M%g %gl-8 -4v8z", right+6, y+16), m.after})
			}
			p.Beyond = p.Beyond || len(out.Cut) > 0
		}
		p.Means = append(p.Means, out)
		y += rowHeight
	}
	unit := v.units.Of(quantity.KindTemperatureDifference)
	low, high = unit.FromSI(low), unit.FromSI(high)
	step := 1.0
	for (high-low)/step > 7 {
		step *= map[bool]float64{true: 2.5, false: 2}[step == 2 || step == 20]
	}
	for k := math.Ceil(low/step)*step + 0; k <= high; k += step { // + 0: no −0
		p.Ticks = append(p.Ticks, tick{x(unit.ToSI(k)), strings.Replace(fmt.Sprintf("%.0f %s", k, unit.Symbol()), "-", "−", 1)})
	}
	p.Height = y + 6
	for at := 22.0; at < y; at += rowHeight {
		p.Rows = append(p.Rows, at+9) // below the words of a row
	}
	if s.Level.Known() {
		p.Level = fmt.Sprintf(" (%.3g %%)", 100*float64(s.Level))
	}
	return p
}

// sideMean is the mean of one side.
type sideMean struct {
	rise   Rise
	drives int
	after  bool
	name   string
}

// means are those of the sides with two drives and more: one drive is its own mean,
// and has no interval.
func (v Verdict) means(s Stratum) (all []sideMean) {
	for _, m := range []sideMean{{s.RiseBefore, s.DrivesBefore, false, v.Before}, {s.RiseAfter, s.DrivesAfter, true, v.After}} {
		if m.drives > 1 && m.rise.ValueK.Known() {
			all = append(all, m)
		}
	}
	return all
}

// reach is what the picture spans: all values, and the intervals of the means as
// far as they leave the values room.
func reach(values []float64, means []sideMean) (least, most float64) {
	least, most = ends(values)
	far := most - least
	all := slices.Clone(values)
	for _, m := range means {
		all = append(all, finite(m.rise.LowK, m.rise.HighK)...)
	}
	low, high := ends(all)
	return math.Max(low, least-far), math.Min(high, most+far)
}

func shorten(s string, n int) string {
	r := []rune(s)
	if len(r) <= n {
		return s
	}
	return string(r[:n-1]) + "…"
}
