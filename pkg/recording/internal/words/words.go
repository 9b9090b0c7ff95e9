// Package words writes counts and spans of time for a person.
package words

import (
	"fmt"
)

// Plural counts things for a person.
func Plural(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// Duration writes a duration for a person.
func Duration(s float64) string {
	switch {
	case s < 120:
		return fmt.Sprintf("%.3g s", s)
	case s < 2*3600:
		return fmt.Sprintf("%.1f min", s/60)
	case s < 2*86400:
		return fmt.Sprintf("%.1f h", s/3600)
	case s < 2*365.25*86400:
		return fmt.Sprintf("%.0f days", s/86400)
	}
	return fmt.Sprintf("%.1f years", s/86400/365.25)
}
