package heading

import (
	"regexp"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// elapsedWords are words in the name of a column that say what its times count
// in, in five languages.
var elapsedWords = []struct {
	format layout.TimeFormat
	words  []string
}{
	{layout.ElapsedDays, []string{"d", "day", "days", "tag", "tage", "tagen", "jour", "jours", "día", "días", "dias", "giorno", "giorni"}},
	{layout.ElapsedHours, []string{"h", "hr", "hrs", "hour", "hours", "std", "stunde", "stunden", "heure", "heures", "hora", "horas", "ora", "ore"}},
	{layout.ElapsedMinutes, []string{"min", "mins", "minute", "minutes", "minuten", "minuto", "minutos", "minuti"}},
	{layout.ElapsedSeconds, []string{"s", "sec", "secs", "second", "seconds", "sek", "sekunde", "sekunden", "seconde", "secondes", "segundo", "segundos", "secondo", "secondi"}},
	{layout.ElapsedMicroseconds, []string{"us", "µs", "μs", "usec", "micros", "microsecond", "microseconds", "mikrosekunden"}},
	{layout.ElapsedNanoseconds, []string{"ns", "nsec", "nanos", "nanosecond", "nanoseconds", "nanosekunden"}},
}

// ElapsedIn returns what the times of a column count in, by the words of
// its name and what stands in brackets behind; "" where they don't say.
func ElapsedIn(words []string, found string) layout.TimeFormat {
	for _, w := range append([]string{strings.ToLower(found)}, words...) { // "seconds of day" counts seconds
		for _, k := range elapsedWords {
			if slices.Contains(k.words, w) {
				return k.format
			}
		}
	}
	return ""
}

// tick matches a unit of time with a number: 0.1s, 1/10 s, 100 ms, x10ms.
var tick = regexp.MustCompile(`(?i)(^|[^0-9a-z.,/])(0?[.,][0-9]+|1/[0-9]+|1e-?[0-9]+|x ?[0-9]+|[0-9]{2,}) ?(s|sec|secs|ms|us|µs)([^a-z]|$)`)

// CountsTicks reports whether the name of a column of times says that it counts
// steps of another length than a unit of time.
func CountsTicks(header string) bool { return tick.MatchString(header) }

// startWords stand in a preamble before the instant from which a file of
// elapsed times counts.
var startWords = []string{"start", "started", "begin", "began", "beginn", "startzeit", "début", "debut", "inicio", "inizio", "first", "erste", "erster", "messbeginn", "startzeitpunkt"}

// SaysStart reports whether a line before the rows says when they began.
func SaysStart(line string) bool {
	return slices.ContainsFunc(Words(line), func(w string) bool { return slices.Contains(startWords, w) })
}

// yearParts are the names of a year, a day of it, hour, minute and second.
var yearParts = [5][]string{{"year", "jahr", "yr"}, {"doy", "yday", "julian", "jday", "yearday"}, {"hour", "stunde", "hr"}, {"minute", "min"}, {"second", "sec", "sekunde"}}

// YearPart reports whether the words of a name are those of part i: year, day of it,
// hour, minute or second.
func YearPart(i int, words []string) bool {
	switch whole := strings.Join(words, " "); {
	case i == 1:
		return slices.Contains(yearParts[1], words[0]) || whole == "day of year" || whole == "day of the year"
	case i == 0 && len(words) > 1:
		return false
	}
	return slices.Contains(yearParts[i], strings.TrimSuffix(words[0], "s"))
}

var minutesAndSeconds = regexp.MustCompile(`(?i)\b(min|mm|m)[:.'](sec|ss|s)\b`)

// MinutesAndSeconds reports whether a header names both in one, "min:sec", so that
// 1.05 is 65 s.
func MinutesAndSeconds(header string) bool { return minutesAndSeconds.MatchString(header) }
