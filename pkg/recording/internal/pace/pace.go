// Package pace tells, by how fast a car's probes warm and its speed changes, whether
// the numbers of a time column count what they are taken for.
package pace

import (
	"fmt"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/numbers"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Limits of what a car and its loggers do. Common practice, no source.
const (
	// slowest in s is how far readings of one drive lie apart at most: loggers of a
	// car write every few seconds.
	slowest = 60.0
	// seldom in s is from where on a step might as well be a step of milliseconds.
	seldom = 10.0
	// quickest in K/s is how a car's air, water and oil may warm over a whole
	// record; an exhaust warms faster.
	quickest = 0.5
	// longest in s is what a drive lasts at most.
	longest = 8 * 3600.0
	// often in s is the step of loggers of a hundred readings a second, and brief
	// how long a record lasts that shows nothing of a drive.
	often, brief = 0.01, 60.0
)

// Hottest in K is where a car's air, water and oil stay below.
var Hottest = quantity.Celsius(150).Kelvin()

// Times are the numbers of a time column and what they are taken for.
type Times struct {
	Name     string // as the person sees it
	Values   []float64
	Head     int // how many of them follow one another
	Format   layout.TimeFormat
	Fraction bool // some have a decimal mark
}

// Trace is a column that is no exhaust's temperature, or a speed, in SI units.
type Trace struct {
	Name   string
	Values []float64
	Head   int
	Speed  bool
}

// Doubt is what to ask about times, or, with no readings, what to warn of.
type Doubt struct {
	What     string
	Readings []account.Reading
}

// kinds are the formats that are mistaken for one another, with the seconds of each
// number, and what another program or person may have meant.
var kinds = map[layout.TimeFormat]struct {
	word  string
	each  float64
	other layout.TimeFormat
}{
	layout.ElapsedSeconds:      {"seconds", 1, layout.ElapsedMilliseconds},
	layout.ElapsedMilliseconds: {"milliseconds", 1e-3, layout.ElapsedSeconds},
	layout.ElapsedMinutes:      {"minutes", 60, layout.ElapsedSeconds},
	layout.ElapsedHours:        {"hours", 3600, layout.ElapsedSeconds},
	layout.ElapsedDays:         {"days", 86400, layout.ElapsedSeconds},
}

func reading(f layout.TimeFormat, meaning string) account.Reading {
	return account.Reading{Meaning: kinds[f].word + ": " + meaning, Setting: fmt.Sprintf("time_format = %q", string(f))}
}

// Steps asks where numbers that are taken for seconds step by more than a minute.
func Steps(t Times) *Doubt {
	step := numbers.MedianStep(t.Values[:t.Head])
	if t.Format != layout.ElapsedSeconds || !(step > slowest) {
		return nil
	}
	return &Doubt{What: fmt.Sprintf("unit of the times in %s, which step by %g: for seconds that is a row every %.3g min", t.Name, step, step/60),
		Readings: []account.Reading{
			reading(layout.ElapsedMilliseconds, fmt.Sprintf("a row every %g s", step/1000)),
			reading(layout.ElapsedSeconds, fmt.Sprintf("a row every %g s", step))}}
}

// Assumed asks where numbers that were taken for seconds, which nothing says, would
// warm a probe as nothing in a car does, or would make a drive of a third of a day.
func Assumed(t Times, traces []Trace) *Doubt {
	for _, c := range traces {
		rise, span, ok := numbers.Rise(t.Values[:t.Head], c.Values[:c.Head])
		if c.Speed || !ok || !(rise > 25) {
			continue
		}
		if _, high := numbers.Quantiles(c.Values[:c.Head]); high > Hottest {
			continue
		}
		first := reading(layout.ElapsedMinutes, fmt.Sprintf("%s warms by %.0f K in %.0f min", c.Name, rise, span))
		switch step := numbers.MedianStep(t.Values[:t.Head]); {
		case rise > quickest*span:
		case span > longest && step >= 10 && !t.Fraction:
			first = reading(layout.ElapsedMilliseconds, fmt.Sprintf("%s warms by %.0f K in %.3g min", c.Name, rise, span/60000))
		default:
			continue
		}
		return &Doubt{What: fmt.Sprintf("unit of the times in %s, which reach %.4g", t.Name, t.Values[t.Head-1]),
			Readings: []account.Reading{first, reading(layout.ElapsedSeconds, fmt.Sprintf("in %.3g min", span/60))}}
	}
	return nil
}

// Stated asks where times would make speed and temperatures change as they do in no
// car, and in the unit they are mistaken for as they do in one. Where neither tells,
// and the numbers step as they might in both, it warns.
func Stated(t Times, traces []Trace) *Doubt {
	k, ok := kinds[t.Format]
	if !ok || t.Head < 20 {
		return nil
	}
	step, v := numbers.MedianStep(t.Values[:t.Head])*k.each, t.Values
	span := (slices.Max(v) - slices.Min(v)) * k.each
	other := kinds[k.other]
	instead := span / k.each * other.each
	d := &Doubt{What: fmt.Sprintf("unit of the times in %s, which step by %.3g %s: ", t.Name, step/k.each, k.word)}
	for _, c := range t.onto(traces, k.each) {
		switch told, why := c.tells(step, k.each/other.each); {
		case told == fits && t.Format == layout.ElapsedMinutes && !c.Speed && span > longest:
		case told == fits:
			return nil
		case told == never:
			d.What += c.Name + " " + why
			return d.ask(t.Format, span, instead)
		}
	}
	switch {
	case t.Format == layout.ElapsedMilliseconds:
		if !(step < often && span < brief && instead > 2*brief && instead < longest) || t.Fraction {
			return nil
		}
		d.What += fmt.Sprintf("the whole record would last %.3g s", span)
	case step < seldom:
		return nil
	case span > longest && instead > brief:
		d.What += fmt.Sprintf("the record would last %.3g h", span/3600)
	default:
		return &Doubt{What: fmt.Sprintf("times in %s are read as %s, a row every %g s, and nothing in the file tells whether they count %s (%.3g min in all, not %.3g); if they do, set time_format = %q", t.Name, k.word, step, other.word, instead/60, span/60, string(k.other))}
	}
	return d.ask(t.Format, span, instead)
}

// ask adds the two readings: what the other unit makes of the record first.
func (d *Doubt) ask(f layout.TimeFormat, span, instead float64) *Doubt {
	d.Readings = []account.Reading{
		reading(kinds[f].other, fmt.Sprintf("%.3g min in all", instead/60)),
		reading(f, fmt.Sprintf("%.3g min in all", span/60))}
	return d
}
