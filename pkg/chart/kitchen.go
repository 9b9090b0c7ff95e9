package chart

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/sensor"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// first returns the units that were given, or the usual ones.
func first(units []quantity.Preferred) quantity.Preferred {
	if len(units) == 0 {
		return quantity.Preferred{}
	}
	return units[0]
}

// CupTest draws probes that were held in one cup, each less the mean of all: as
// read, named with what it is off on average, and on the same scale as corrected;
// and below how the water cooled. units are those of the reader.
func CupTest(cup sensor.Cup, units ...quantity.Preferred) *Figure {
	apart, warmth := readingOf(first(units), quantity.KindTemperatureDifference), readingOf(first(units), quantity.KindTemperature)
	f := &Figure{Title: "No probe was in the cup", XLabel: "time (min)"}
	minutes := make([]float64, len(cup.Times))
	for k, t := range cup.Times {
		minutes[k] = t / 60
	}
	read, middle := lessMean(cup.AsRead)
	corrected, _ := lessMean(cup.Corrected)
	raw, mended := apart.panel("less the mean of all", 1.1), apart.panel("less the mean of all", 1.1)
	raw.Name, mended.Name = "as read", "corrected"
	water := warmth.panel("mean of all", 0.55)
	water.Name = "the water"
	least, most := 0.0, 0.0
	for i := range read {
		off := 0.0
		r, c := Line{X: minutes, Style: Look(i)}, Line{X: minutes, Style: Look(i)}
		for k := range read[i] {
			off += read[i][k] / float64(len(read[i]))
			r.Y, c.Y = append(r.Y, apart.of(read[i][k])), append(c.Y, apart.of(corrected[i][k]))
			least, most = math.Min(least, r.Y[k]), math.Max(most, r.Y[k])
		}
		r.Label = fmt.Sprintf("%s, %s as read", cup.Names[i], apart.say("%+.2f", off))
		c.Label = r.Label
		raw.Lines, mended.Lines = append(raw.Lines, r), append(mended.Lines, c)
	}
	line := Line{X: minutes, Style: Style{Color: black}}
	for _, k := range middle {
		line.Y = append(line.Y, warmth.of(k))
	}
	water.Lines = []Line{line}
	f.Panels = []Panel{raw, mended, water}
	if len(read) == 0 {
		return f
	}
	room := 0.15 * (most - least)
	for i := range f.Panels[:2] {
		f.Panels[i].Limits, f.Panels[i].ZeroLine = &Limits{From: least - room, To: most + room}, true
	}
	f.Title = fmt.Sprintf("%s in one cup: %s off their mean as read, %s corrected", counted(len(read), "probe"), apart.say("%.2f", cup.Before), apart.say("%.2f", cup.After))
	f.Caption = []string{"Both scales are the same. The title's numbers are standard deviations. The mean is not the truth: what all probes are off alike does not show."}
	return f
}

// lessMean takes from each row the mean of all rows.
func lessMean(rows [][]float64) (less [][]float64, mean []float64) {
	for i, row := range rows {
		less = append(less, append([]float64{}, row...))
		if i == 0 {
			mean = make([]float64, len(row))
		}
		for k, v := range row {
			mean[k] += v / float64(len(rows))
		}
	}
	for i := range less {
		for k := range less[i] {
			less[i][k] -= mean[k]
		}
	}
	return less, mean
}

// LagCorrection draws what a lag correction made of readings, where it changed
// them, with the truth where that is known. The correction smooths over a width:
// within half of it of a sudden step it can't be right, and begins to rise before
// the step. These stretches are shaded. units are those of the reader.
func LagCorrection(measured, corrected *series.Series, what sensor.LagCorrection, truth *series.Series, units ...quantity.Preferred) *Figure {
	reads := readingOf(first(units), quantity.KindTemperature)
	apart := readingOf(first(units), quantity.KindTemperatureDifference)
	v, at := changed(measured, corrected, what)
	seconds := func(s *series.Series, name string, look Style) Line {
		l := seriesLine(s.Slice(v), name, look, reads.unit)
		for i := range l.X {
			l.X[i] *= 60
		}
		return l
	}
	p := reads.panel("temperature", 1.5)
	p.Lines = []Line{seconds(measured, "as read", Style{Color: vermilion, Width: 1.6}), seconds(corrected, "lag taken out", Style{Color: blue, Width: 1.6})}
	if truth != nil {
		p.Lines = append(p.Lines, seconds(truth, "truth", Style{Color: black, Dash: []float64{5, 2}, Width: 1.4}))
	}
	p.Bands = []Band{{Label: "blurred by the smoothing", From: at - what.Width/2, To: at + what.Width/2, Color: purpleTint}}
	return &Figure{Title: fmt.Sprintf("A lag of %.1f s taken out: up to %s more than was read, with %.1f times the noise", what.TimeConstant, apart.say("%.0f", what.Largest), what.NoiseGain),
		XLabel: "time (s)", Panels: []Panel{p},
		Caption: []string{fmt.Sprintf("The correction smooths over %.1f s, so its curve begins to rise up to %.1f s before a step. That is the method's doing, not the probe's.", what.Width, what.Width/2)}}
}

// changed is where a correction changed readings by a tenth of its most and more,
// with room about it, and where its change is steepest.
func changed(measured, corrected *series.Series, what sensor.LagCorrection) (v series.Interval, at float64) {
	whole := measured.Interval()
	from, to, at, jump := math.Inf(1), math.Inf(-1), whole.From, 0.0
	last := math.NaN()
	for i, t := range measured.Time {
		c := corrected.Lookup(t, 1) - measured.Value[i]
		if math.Abs(c) >= what.Largest/10 {
			from, to = math.Min(from, t), math.Max(to, t)
		}
		if d := math.Abs(c - last); d > jump {
			jump, at = d, t
		}
		last = c
	}
	if from > to {
		return whole, at
	}
	room := math.Max(what.Width, 0.3*(to-from))
	return series.Interval{From: math.Max(whole.From, from-room), To: math.Min(whole.To, to+room)}, at
}
