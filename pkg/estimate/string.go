package estimate

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// String returns name, value, interval and basis in one line, the warnings
// below, one a line: "change: −15.3 K (95 %: −17.1 to −13.5 K, from
// differences between drives, 3)".
func (e Estimate) String() string {
	var b strings.Builder
	if e.Name != "" {
		fmt.Fprintf(&b, "%s: ", e.Name)
	}
	if !e.Known() {
		b.WriteString("not known")
		if e.Missing != "" {
			b.WriteString("; " + e.Missing)
		}
	} else {
		b.WriteString(e.In(e.Unit))
	}
	for _, w := range e.Warnings {
		b.WriteString("\n- " + w.String())
	}
	return b.String()
}

// In returns value, interval and basis in the given unit of the same kind.
func (e Estimate) In(unit quantity.Unit) string {
	low, high := unit.FromSI(e.Interval.Low), unit.FromSI(e.Interval.High)
	digits := decimals(high-low, unit.FromSI(e.Value))
	number := func(x float64) string {
		return strings.Replace(fmt.Sprintf("%.*f", digits, x), "-", "−", 1)
	}
	symbol := ""
	if unit.Symbol() != (quantity.Unit{}).Symbol() {
		symbol = " " + unit.Symbol()
	}
	text := number(unit.FromSI(e.Value)) + symbol
	about := e.Basis.String()
	if e.Count > 0 {
		about += fmt.Sprintf(", %d", e.Count)
	}
	switch {
	case !e.Interval.Known() || e.Basis == NoBasis:
		return text
	case math.IsInf(low, 0) || math.IsInf(high, 0):
		return fmt.Sprintf("%s (no bound on the error; %s)", text, about)
	case e.Interval.Level == 0:
		return fmt.Sprintf("%s (%s to %s%s; %s)", text, number(low), number(high), symbol, about)
	}
	return fmt.Sprintf("%s (%.3g %%: %s to %s%s, %s)", text, 100*e.Interval.Level, number(low), number(high), symbol, about)
}

// decimals returns how many decimals show an interval of the given width with
// two significant digits, or a value without interval with four.
func decimals(width, value float64) int {
	digits := 1 - int(math.Floor(math.Log10(width/2)))
	if !(width > 0) || math.IsInf(width, 0) {
		digits = 3 - int(math.Floor(math.Log10(math.Abs(value))))
		if value == 0 || math.IsInf(value, 0) {
			digits = 0
		}
	}
	return max(0, min(digits, 9))
}

// MarshalJSON writes the value and interval in the shown unit; numbers that are
// not known are null.
func (e Estimate) MarshalJSON() ([]byte, error) {
	number := func(x float64) *float64 {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return nil
		}
		return &x
	}
	return json.Marshal(struct {
		Name             string    `json:"name"`
		Unit             string    `json:"unit"`
		Value            *float64  `json:"value"`
		Missing          string    `json:"missing,omitempty"`
		Low              *float64  `json:"low"`
		High             *float64  `json:"high"`
		Level            *float64  `json:"level"`
		Basis            string    `json:"basis"`
		DegreesOfFreedom *float64  `json:"degrees_of_freedom"`
		Count            int       `json:"count"`
		Warnings         []Warning `json:"warnings,omitempty"`
	}{
		e.Name, e.Unit.Symbol(), number(e.Unit.FromSI(e.Value)), e.Missing,
		number(e.Unit.FromSI(e.Interval.Low)), number(e.Unit.FromSI(e.Interval.High)), number(e.Interval.Level),
		e.Basis.String(), number(e.DegreesOfFreedom), e.Count, e.Warnings,
	})
}
