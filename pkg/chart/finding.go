package chart

import (
	"fmt"
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
)

// missing breaks a line.
var missing = math.NaN()

// number writes a number with a true minus, and nothing before a zero.
func number(verb string, v float64) string {
	text := fmt.Sprintf(verb, v)
	if strings.Trim(text, "+-0.") == "" {
		text = strings.TrimLeft(text, "+-")
	}
	return strings.ReplaceAll(text, "-", "−")
}

// say writes an SI value in the reader's unit.
func (r reading) say(verb string, si float64) string {
	return number(verb, r.of(si)) + " " + r.unit.Symbol()
}

// span writes two SI values with one unit, the smaller first; one where both are
// written alike.
func (r reading) span(verb string, a, b float64) string {
	return between(verb, r.of(a), r.of(b)) + " " + r.unit.Symbol()
}

func between(verb string, a, b float64) string {
	low, high := number(verb, math.Min(a, b)), number(verb, math.Max(a, b))
	if low == high {
		return low
	}
	return low + " to " + high
}

// value writes an estimate beside its point: with half of an interval that is
// even about it, else alone.
func (r reading) value(e estimate.Estimate) string {
	text := number("%.1f", r.of(e.Value))
	low, high := e.Value-e.Interval.Low, e.Interval.High-e.Value
	if math.Abs(high-low) <= 0.02*(high+low) && !math.IsInf(high, 0) && high > 0 {
		text += fmt.Sprintf(" ± %.1f", (r.of(e.Interval.High)-r.of(e.Interval.Low))/2)
	}
	return text + " " + r.unit.Symbol()
}

// clockTime writes seconds of drive time as min:s.
func clockTime(seconds float64) string {
	s := int(math.Round(seconds))
	if s < 0 {
		return "−" + clockTime(-seconds)
	}
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}

// counted writes a number with its noun, "1 drive" or "3 drives".
func counted(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}
