package heading

import (
	"regexp"
	"strconv"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/parse"
)

var (
	// intervalLine matches a line of a preamble that says how far rows are
	// apart, in five languages.
	intervalLine = regexp.MustCompile(`(?i)\b(interval|\pL*intervall|intervalle|intervalo|intervallo|sampl\w* (period|time)|log\w* (period|rate)|period|rate|abtastrate|messrate|takt|cadence|sampl\w* (rate|frequency))\b`)
	// amount matches a number with what may be its unit.
	amount = regexp.MustCompile(`([0-9]+(?:[.,][0-9]+)?)\s*([A-Za-zµ]*)`)
	// clockAmount matches a span as hours, minutes and seconds.
	clockAmount = regexp.MustCompile(`\b[0-9]{1,2}:[0-9]{2}:[0-9]{2}\b`)
)

// perSecond are the units of a span, and those of a rate as 0.
var perSecond = map[string]float64{"s": 1, "sec": 1, "secs": 1, "second": 1, "seconds": 1, "sek": 1, "sekunden": 1, "seconde": 1, "secondes": 1, "segundos": 1, "secondi": 1,
	"ms": 1e-3, "msec": 1e-3, "milliseconds": 1e-3, "min": 60, "mins": 60, "minute": 60, "minutes": 60, "minuten": 60, "hz": 0}

// IntervalIn returns the seconds between rows that a line before them states, 0
// where it states none.
func IntervalIn(line string) float64 {
	at := intervalLine.FindStringIndex(line)
	if at == nil {
		return 0
	}
	return spanBehind(line[at[0]:])
}

// spanBehind reads the span behind the word; its unit stands behind the number or
// in brackets before it.
func spanBehind(text string) float64 {
	if m := clockAmount.FindString(text); m != "" {
		if k, ok := parse.Clock([]byte(m), true); ok {
			return float64(k.Seconds)
		}
	}
	bracket := ""
	if i := strings.IndexAny(text, "(["); i >= 0 {
		if j := strings.IndexAny(text[i:], ")]"); j > 0 {
			bracket = strings.ToLower(strings.TrimSpace(text[i+1 : i+j]))
		}
	}
	m := amount.FindStringSubmatch(text)
	if m == nil {
		return 0
	}
	v, err := strconv.ParseFloat(strings.Replace(m[1], ",", ".", 1), 64)
	if err != nil || v <= 0 {
		return 0
	}
	word := strings.ToLower(m[2])
	if word == "" {
		word = bracket
	}
	factor, known := perSecond[word]
	switch {
	case !known:
		return 0
	case factor == 0:
		return 1 / v
	}
	return v * factor
}
