package chart

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
)

// Evidence shows why a thermostat result was reached: all channels that were
// used over the whole drive, and below each of them two minutes before and after
// the opening (more where its interval is wide), with the fitted shape, the onset
// with its interval, and the candidates that were rejected, which the caption names:
// several lie close to the opening, where words would cover its line.
func Evidence(d *drive.Drive, r thermostat.Result) *Figure {
	f := &Figure{Title: openingTitle(d, r), XLabel: timeLabel}
	reads := readingOf(d.Units, quantity.KindTemperature)
	whole := reads.panel("temperature", 0.8)
	whole.Name = "the whole drive"
	whole.Markers = collect([]Mark{Opening(r)}).markers
	near, found := closeUp(r)
	axis := &Axis{Label: "the same time, near the opening (min)", From: near.From / 60, To: near.To / 60}
	var panels []Panel
	place := map[drive.Role]int{}
	for _, e := range r.Evidence {
		c, ok := d.Channels[e.Role]
		if !ok {
			continue
		}
		whole.Lines = append(whole.Lines, seriesLine(c.Series, string(e.Role), roleStyles[e.Role], reads.unit))
		if found {
			p := evidencePanel(reads, c.Series, e, near)
			p.Axis = axis
			panels = append(panels, p)
			place[e.Role] = len(panels)
		}
	}
	if len(whole.Lines) == 0 {
		t := Temperatures(d)
		t.Title = f.Title
		return t
	}
	panels = slices.Insert(panels, 0, whole)
	var rejected []string
	for _, x := range slices.SortedStableFunc(slices.Values(r.Rejected), func(a, b thermostat.Candidate) int { return cmp.Compare(a.Time, b.Time) }) {
		rejected = append(rejected, fmt.Sprintf("%s at %s min", x.Role, clockTime(x.Time)))
		m := Marker{X: x.Time / 60, Style: Style{Color: grey, Dash: []float64{3, 2}}}
		k := 0 // the whole drive
		if near.From <= x.Time && x.Time < near.To {
			k = place[x.Role]
		}
		panels[k].Markers = append(panels[k].Markers, m)
	}
	f.Panels = panels
	if r.Outcome != thermostat.Opened {
		f.Caption = []string{r.Reason}
	}
	if len(rejected) > 0 {
		f.Caption = append(f.Caption, "Grey dashes, rejected as the opening: "+strings.Join(rejected, ", ")+".")
	}
	return f
}

// openingTitle says what was found.
func openingTitle(d *drive.Drive, r thermostat.Result) string {
	if r.Outcome != thermostat.Opened {
		return fmt.Sprintf("%s: thermostat %s", d.Name, r.Outcome)
	}
	v := r.Interval95
	return fmt.Sprintf("%s: the thermostat opens at %s min (95 %%: %s to %s)", d.Name, clockTime(r.Onset), clockTime(v.From), clockTime(v.To))
}

// closeUp is what is shown large: two minutes to both sides of the opening, or
// of the first onset where it did not count, and twice the interval where that
// is more.
func closeUp(r thermostat.Result) (near series.Interval, found bool) {
	const least = 120.0
	at, half := math.NaN(), least
	if r.Outcome == thermostat.Opened {
		at = r.Onset
	}
	for _, e := range r.Evidence {
		if math.IsNaN(at) {
			at = e.Onset.Value
		}
		if v := e.Onset.Interval; v.Known() && !math.IsNaN(at) {
			half = math.Max(half, 2*math.Max(at-v.Low, v.High-at))
		}
	}
	half = math.Min(half, 600)
	return series.Interval{From: at - half, To: at + half}, !math.IsNaN(at)
}

// onsetLabel says an onset as its axis has it, and as a clock shows it.
func onsetLabel(seconds float64) string {
	return fmt.Sprintf("onset %s min (%s)", number("%.2f", seconds/60), clockTime(seconds))
}

func evidencePanel(reads reading, s *series.Series, e thermostat.Evidence, near series.Interval) Panel {
	p := reads.panel(string(e.Role), 0.7)
	p.Lines = []Line{seriesLine(s.Slice(near), string(e.Role), roleStyles[e.Role], reads.unit)}
	if e.Fit != nil {
		p.Lines = append(p.Lines, seriesLine(e.Fit.Slice(near), "fitted shape", Style{Color: black, Dash: []float64{5, 2}, Width: 1.6}, reads.unit))
	}
	if v := e.Onset; v.Known() {
		p.Markers = append(p.Markers, Marker{X: v.Value / 60, Label: onsetLabel(v.Value), Style: Style{Color: vermilion, Width: 1.4}})
		p.Bands = append(p.Bands, Band{Label: "95 % interval", From: v.Interval.Low / 60, To: v.Interval.High / 60, Color: vermilionTint})
	}
	return p
}
