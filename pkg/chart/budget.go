package chart

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Budget draws what part each source has in the variance of an estimate, the
// largest first; the smallest are joined where there are many. The title names the
// largest.
func Budget(e estimate.Estimate) *Figure {
	f := &Figure{Title: e.Name + ": its parts are not known one by one", XLabel: "part of the variance (%)"}
	shares := e.Shares()
	p := Panel{}
	var parts []float64
	const rows, leastShare = 7, 0.0005 // less reads 0.0 %
	rest, small := 0.0, 0
	for i, s := range shares {
		if i >= rows-1 && len(shares) > rows || s.Share < leastShare {
			rest, small = rest+s.Share, small+1
			continue
		}
		p.Rows, parts = append(p.Rows, sourceName(s.Source)), append(parts, 100*s.Share)
	}
	if small > 0 && rest >= leastShare {
		p.Rows, parts = append(p.Rows, counted(small, "more source")), append(parts, 100*rest)
	}
	if len(parts) == 0 {
		return f
	}
	bars := Line{Style: Style{Color: blue, Width: 12}}
	ends := Points{Style: Style{Color: blue}}
	for i, v := range parts {
		row := float64(len(parts) - i)
		bars.X, bars.Y = append(bars.X, 0, v, v), append(bars.Y, row, row, missing)
		ends.X, ends.Y, ends.Values = append(ends.X, v), append(ends.Y, row), append(ends.Values, percent(v))
	}
	p.Axis, p.Weight = &Axis{Label: f.XLabel, From: 0, To: 112}, 0.25+0.13*float64(len(parts))
	p.Lines, p.Points = []Line{bars}, []Points{ends}
	f.Panels = []Panel{p}
	f.Title = fmt.Sprintf("Not known of the %s: mostly %s (%s of the variance)", e.Name, p.Rows[0], percent(parts[0]))
	if u := e.StandardUncertainty(); !math.IsNaN(u) {
		f.Caption = []string{"Standard uncertainty " + quantity.Format(u, e.Unit, 2) + ". Parts are of its square: halving one of 25 % narrows the interval by a tenth."}
	}
	if small > 0 && rest < leastShare {
		f.Caption = append(f.Caption, counted(small, "more source")+": below 0.1 % together.")
	}
	return f
}

func percent(v float64) string {
	if v < 0.95 {
		return number("%.1f", v) + " %"
	}
	return number("%.0f", v) + " %"
}

// sourceName is what a person calls a source.
func sourceName(s estimate.Source) string {
	if s.ID == "" {
		return string(s.Kind)
	}
	return s.ID
}

// NextDrives draws how wide the interval of a change is to be expected after more
// drives, up to most with each configuration, beside what it is now, and the
// change itself: where the curve lies below it, an interval leaves out zero.
func NextDrives(d compare.Difference, most int) *Figure {
	reads := readingOf(d.Units, quantity.KindTemperatureDifference)
	p := reads.panel("half of the interval", 1.1)
	p.ZeroLine = true
	f := &Figure{Title: d.Stratum + ": drives of both configurations are needed first", XLabel: "drives with each configuration"}
	v := d.Change.Interval
	now := min(d.Before.Drives, d.After.Drives)
	if !v.Known() || now == 0 {
		return f
	}
	half := (v.High - v.Low) / 2
	line := Line{Label: "to be expected", Style: Style{Color: blue, Width: 1.6}}
	ends := Points{Style: Style{Color: blue}}
	for n := now + 1; n <= most; n++ {
		w := float64(d.Expected(n))
		line.X, line.Y = append(line.X, float64(n)), append(line.Y, reads.of(w))
		ends.X, ends.Y = append(ends.X, float64(n)), append(ends.Y, reads.of(w))
		ends.Values = append(ends.Values, number("%.1f", reads.of(w)))
	}
	if len(line.X) == 0 {
		f.Title = fmt.Sprintf("%s: there are %s with each configuration already", d.Stratum, counted(now, "drive"))
		return f
	}
	size := Line{Label: "the change found", X: []float64{float64(now) - 0.3, float64(most) + 0.3}, Style: Style{Color: grey, Dash: []float64{5, 2}}}
	size.Y = []float64{reads.of(math.Abs(d.Change.Value)), reads.of(math.Abs(d.Change.Value))}
	p.Lines = []Line{line, size}
	p.Points = []Points{ends, {Label: "now", X: []float64{float64(now)}, Y: []float64{reads.of(half)}, Values: []string{number("%.1f", reads.of(half))}, Style: Style{Color: vermilion}}}
	f.Panels = []Panel{p}
	next := float64(d.Expected(now + 1))
	word := "narrow it to about"
	if next >= half {
		word = "leave it at about"
	}
	f.Title = fmt.Sprintf("%s: ± %s now; another drive with each would %s ± %s", d.Stratum, reads.say("%.1f", half), word, reads.say("%.1f", next))
	f.Caption = []string{fmt.Sprintf("%.3g %% intervals, averaged over what %d + %d drives leave open of how far drives differ.", 100*v.Level, d.Before.Drives, d.After.Drives)}
	return f
}
