package sensor

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// CupOptions are the settings of [SameCup]. Start from DefaultCupOptions; a
// field that is zero takes its default.
type CupOptions struct {
	// Block is the length in seconds over which readings are averaged to one
	// piece of evidence; 0 means 60.
	Block float64
	// LagDifference is how much the probes' time constants may differ in
	// seconds; it counts with the rate of change. 0 means 2 s.
	LagDifference float64
	// GainRange is the least range in kelvin from which a gain is fitted; 0
	// means 20.
	GainRange float64
	// Units are those of the texts; the zero value takes the usual ones.
	Units quantity.Preferred
}

// DefaultCupOptions returns blocks of a minute, probes whose time constants
// differ by up to 2 s, and a gain from 20 K of range on.
func DefaultCupOptions() CupOptions {
	return CupOptions{Block: 60, LagDifference: 2, GainRange: 20}
}

// Cup is the outcome of holding all probes into one cup.
type Cup struct {
	// Calibrations brings each channel onto the mean of all, in their order.
	// They make channels agree with each other, not with the truth: for that,
	// one of them needs a fixed point.
	Calibrations []Calibration
	// Before and After are the standard deviations of the channels about
	// their mean, in kelvin, without and with calibration.
	Before, After float64
	Blocks        int
	// Names are those of the channels. Times are the middles of the blocks in
	// seconds; AsRead and Corrected hold for each channel its mean in each block,
	// in kelvin, without and with calibration.
	Names             []string
	Times             []float64
	AsRead, Corrected [][]float64
	Warnings          []estimate.Warning
	// Units are those in which it is written.
	Units quantity.Preferred
}

// ReadIn returns the units in which the outcome is read.
func (c Cup) ReadIn() quantity.Preferred { return c.Units }

// String lists the corrections.
func (c Cup) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "channels differ by %s (standard deviation), after calibration by %s, %d blocks\n", kelvins(c.Units, "%.2f", c.Before), kelvins(c.Units, "%.2f", c.After), c.Blocks)
	for i, k := range c.Calibrations {
		fmt.Fprintf(&b, "  channel %d: %s\n", i+1, k.In(c.Units))
	}
	for _, w := range c.Warnings {
		fmt.Fprintf(&b, "  check: %v\n", w)
	}
	return b.String()
}

// SameCup compares channels whose probes were held together in one cup of
// stirred water, or in one draught of air, over a stretch. The reference is
// their mean. Where the temperature covered a wide range, a cup that cools
// from hot to lukewarm, a gain is found too. It fails for fewer than two channels
// and where the stretch holds too few readings of all of them.
func SameCup(channels []*series.Series, v series.Interval, opts CupOptions) (Cup, error) {
	if len(channels) < 2 {
		return Cup{}, fmt.Errorf("sensor.SameCup: %d channels; at least two are compared", len(channels))
	}
	opts.fill()
	blocks, times, rates, err := cupBlocks(channels, v, opts.Block)
	if err != nil {
		return Cup{}, err
	}
	n := len(blocks)
	reference := make([]float64, n)
	for k, row := range blocks {
		for _, x := range row {
			reference[k] += x / float64(len(row))
		}
	}
	out := Cup{Blocks: n, Units: opts.Units, Times: times}
	worst := 0.0
	for _, r := range rates {
		worst = math.Max(worst, math.Abs(r))
	}
	lag := worst * opts.LagDifference
	if lag > 0.3 {
		out.Warnings = append(out.Warnings, estimate.Warning{Kind: Unsettled, Subject: "cup", Text: fmt.Sprintf("it changes by up to %s a minute; probes of different lag then differ by %s without any fault: wait, or use a larger vessel", kelvins(opts.Units, "%.2f", 60*worst), kelvins(opts.Units, "%.2f", lag))})
	}
	wide := slices.Max(reference)-slices.Min(reference) >= opts.GainRange
	for c, s := range channels {
		k := cupCalibration(blocks, reference, c, wide, lag)
		k.Note = fmt.Sprintf("one cup, %d channels, relative to their mean", len(channels))
		if math.Abs(k.Offset.Kelvins()) > 5 {
			out.Warnings = append(out.Warnings, estimate.Warning{Kind: estimate.Disagreement, Subject: s.Name, Text: fmt.Sprintf("lies %s off the mean of all: was its probe in the cup?", kelvins(opts.Units, "%.1f", -k.Offset.Kelvins()))})
		}
		out.Calibrations, out.Names = append(out.Calibrations, k), append(out.Names, s.Name)
		read, corrected := make([]float64, n), make([]float64, n)
		for b, row := range blocks {
			read[b], corrected[b] = row[c], k.applyKelvin(row[c])
		}
		out.AsRead, out.Corrected = append(out.AsRead, read), append(out.Corrected, corrected)
	}
	out.Before = cupSpread(blocks, make([]Calibration, len(channels)))
	out.After = cupSpread(blocks, out.Calibrations)
	return out, nil
}

// kelvins writes a difference in K in somebody's units.
func kelvins(units quantity.Preferred, verb string, k float64) string {
	return units.Say(quantity.KindTemperatureDifference, verb, k)
}

// inBoth writes a difference in K, and in °F for who reads those: an error knows
// nobody's units.
func inBoth(verb string, k float64) string {
	return kelvins(quantity.Preferred{}, verb, k) + " (" + kelvins(quantity.Preferred{Difference: quantity.KindTemperatureDifference.Unit("°F")}, verb, k) + ")"
}

// fill puts the defaults into fields that are not set.
func (o *CupOptions) fill() {
	d := DefaultCupOptions()
	for _, f := range []struct {
		x     *float64
		value float64
	}{{&o.Block, d.Block}, {&o.LagDifference, d.LagDifference}, {&o.GainRange, d.GainRange}} {
		if *f.x <= 0 {
			*f.x = f.value
		}
	}
}

// cupBlocks averages all channels over blocks in which each has values, and
// returns the rate of change of their mean in each.
func cupBlocks(channels []*series.Series, v series.Interval, length float64) (blocks [][]float64, times, rates []float64, err error) {
	for from := v.From; from+length <= v.To+1e-9; from += length {
		part := series.Interval{From: from, To: from + length}
		row := make([]float64, len(channels))
		rate := 0.0
		for c, s := range channels {
			if s.Dimension != series.Temperature {
				return nil, nil, nil, fmt.Errorf("sensor.SameCup: %q is a %v, not a temperature", s.Name, s.Dimension)
			}
			row[c] = s.Mean(part, length)
			half := length / 2
			first, second := s.Mean(series.Interval{From: from, To: from + half}, length), s.Mean(series.Interval{From: from + half, To: from + length}, length)
			rate += (second - first) / half / float64(len(channels))
		}
		if !slices.ContainsFunc(row, math.IsNaN) && !math.IsNaN(rate) {
			blocks, times, rates = append(blocks, row), append(times, from+length/2), append(rates, rate)
		}
	}
	if len(blocks) < 3 {
		return nil, nil, nil, fmt.Errorf("sensor.SameCup: only %d blocks of %.0f s in which every channel has values; three are needed: leave the probes in longer, or leave out the channel that is open", len(blocks), length)
	}
	return blocks, times, rates, nil
}

// cupCalibration fits reference − reading as a constant, or as a straight line
// over the reading.
func cupCalibration(blocks [][]float64, reference []float64, c int, wide bool, lag float64) Calibration {
	n := float64(len(blocks))
	x, d := make([]float64, len(blocks)), make([]float64, len(blocks))
	mx := 0.0
	for k, row := range blocks {
		x[k], d[k] = row[c], reference[k]-row[c]
		mx += x[k] / n
	}
	if !wide {
		mean, rss := 0.0, 0.0
		for _, e := range d {
			mean += e / n
		}
		for _, e := range d {
			rss += square(e - mean)
		}
		return Calibration{Offset: quantity.KelvinDifference(mean), Uncertainty: quantity.KelvinDifference(math.Sqrt(rss/(n-1)/n + lag*lag/3))}
	}
	mean, slope, rest := line(x, d)
	rss, sxx := 0.0, 0.0
	for k, e := range rest {
		rss += e * e
		sxx += square(x[k] - mx)
	}
	s2 := rss / math.Max(1, n-2)
	return Calibration{
		Offset: quantity.KelvinDifference(mean), Gain: 1 + slope, About: quantity.Kelvin(mx),
		Uncertainty:     quantity.KelvinDifference(math.Sqrt(s2/n + lag*lag/3)),
		GainUncertainty: math.Sqrt(s2 / sxx),
	}
}

// cupSpread returns the standard deviation of the corrected channels about
// their mean, over all blocks.
func cupSpread(blocks [][]float64, cs []Calibration) float64 {
	sum, n := 0.0, 0.0
	for _, row := range blocks {
		mean := 0.0
		corrected := make([]float64, len(row))
		for c, x := range row {
			corrected[c] = cs[c].applyKelvin(x)
			mean += corrected[c] / float64(len(row))
		}
		for _, x := range corrected {
			sum += square(x - mean)
		}
		n += float64(len(row) - 1)
	}
	return math.Sqrt(sum / n)
}
