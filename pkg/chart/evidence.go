package chart

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
)

// Evidence shows why a thermostat result was reached: for every channel that
// was used, its readings with the fitted shape, the onset with its interval,
// and the candidates that were rejected.
func Evidence(d *drive.Drive, r thermostat.Result) *Figure {
	f := &Figure{Title: fmt.Sprintf("%s: thermostat %s", d.Name, r.Outcome), XLabel: timeLabel}
	reads := readingOf(d.Units, quantity.KindTemperature)
	for _, e := range r.Evidence {
		c, ok := d.Channels[e.Role]
		if !ok {
			continue
		}
		p := reads.panel(string(e.Role), 0.9)
		p.Lines = append(p.Lines, seriesLine(c.Series, string(e.Role), roleStyles[e.Role], reads.unit))
		if e.Fit != nil {
			p.Lines = append(p.Lines, seriesLine(e.Fit, "fitted shape", Style{Color: black, Dash: []float64{5, 2}, Width: 1.6}, reads.unit))
		}
		p.Markers = append(p.Markers, Marker{X: e.Onset.Value / 60, Label: fmt.Sprintf("onset %.0f s", e.Onset.Value), Style: Style{Color: vermilion, Width: 1.4}})
		p.Bands = append(p.Bands, Band{Label: "95 % interval", From: e.Onset.Interval.Low / 60, To: e.Onset.Interval.High / 60, Color: vermilionTint})
		for _, x := range r.Rejected {
			if x.Role == e.Role {
				p.Markers = append(p.Markers, Marker{X: x.Time / 60, Label: "rejected", Style: Style{Color: grey, Dash: []float64{3, 2}}})
			}
		}
		f.Panels = append(f.Panels, p)
	}
	if len(f.Panels) == 0 {
		return Temperatures(d)
	}
	return f
}
