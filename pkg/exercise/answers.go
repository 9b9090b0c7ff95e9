package exercise

import (
	"math"
	"reflect"
	"slices"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// isStub reports whether nothing was answered: the zero value of any type, or
// a text of blanks and question marks.
func isStub(answer any) bool {
	if answer == nil {
		return true
	}
	if s, ok := wordOf(answer); ok {
		return strings.Trim(s, " ?_") == ""
	}
	return reflect.ValueOf(answer).IsZero()
}

// numberOf returns an answer as a number: of any numeric type, so that a
// quantity counts in its SI unit. A temperature is none.
func numberOf(answer any) (float64, bool) {
	switch v := reflect.ValueOf(answer); {
	case v.CanFloat():
		return v.Float(), true
	case v.CanInt():
		return float64(v.Int()), true
	case v.CanUint():
		return float64(v.Uint()), true
	}
	return 0, false
}

// wordOf returns an answer as a text.
func wordOf(answer any) (string, bool) {
	v := reflect.ValueOf(answer)
	if v.Kind() != reflect.String {
		return "", false
	}
	return v.String(), true
}

// textThat matches texts of which something holds.
func textThat(holds func(s string) bool) func(any) bool {
	return func(answer any) bool {
		s, ok := wordOf(answer)
		return ok && holds(s)
	}
}

// aText matches any text.
func aText(answer any) bool {
	_, ok := wordOf(answer)
	return ok
}

// near matches numbers within tolerance of one of the values.
func near(tolerance float64, values ...float64) func(any) bool {
	return func(answer any) bool {
		n, ok := numberOf(answer)
		return ok && slices.ContainsFunc(values, func(v float64) bool { return math.Abs(n-v) <= tolerance })
	}
}

// letters matches a text of letters, whatever their case and what stands
// between them: "B", "b", "B, E, A".
func letters(want ...string) func(any) bool {
	return textThat(func(s string) bool { return slices.Contains(want, onlyLetters(s)) })
}

// notOf matches a text that holds another number of letters.
func notOf(n int) func(any) bool {
	return textThat(func(s string) bool { return len(onlyLetters(s)) != n })
}

func onlyLetters(s string) string {
	return strings.Map(func(r rune) rune {
		if r < 'A' || r > 'Z' {
			return -1
		}
		return r
	}, strings.ToUpper(s))
}

// atTime matches a time of day, "15:04:05" or "15:04", within tolerance
// seconds.
func atTime(want time.Time, tolerance float64) func(any) bool {
	return textThat(func(s string) bool {
		for _, layout := range []string{"15:04:05", "15:04"} {
			if t, err := time.Parse(layout, strings.TrimSpace(s)); err == nil {
				day := time.Date(want.Year(), want.Month(), want.Day(), t.Hour(), t.Minute(), t.Second(), 0, want.Location())
				return math.Abs(day.Sub(want).Seconds()) <= tolerance
			}
		}
		return false
	})
}

// aTemperature matches a temperature, where a difference is asked for.
func aTemperature(answer any) bool {
	_, ok := answer.(quantity.Temperature)
	return ok
}

// either matches what one of the others does.
func either(some ...func(any) bool) func(any) bool {
	return func(answer any) bool {
		return slices.ContainsFunc(some, func(f func(any) bool) bool { return f(answer) })
	}
}

// quoted is the mistake of a number between quotes.
var quoted = Mistake{ID: "number in quotes", shows: aText,
	hints: []string{
		"Quotes make a text, and nobody can calculate with a text. What is the number without them?",
		"Take away the two quotes and whatever unit stands beside the number. Go writes a decimal point, no comma.",
	}}
