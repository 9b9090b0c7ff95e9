// Package spelling finds the name that was probably meant.
package spelling

import (
	"fmt"
	"strings"
)

// Suggestion returns ` (did you mean "x"?)` for the nearest of the allowed
// names, or nothing where none is near.
func Suggestion(got string, allowed []string) string {
	if len(got) > 60 {
		return "" // no misspelling; and the distance costs the square of the length
	}
	best, bestDistance := "", 1+min(len(got)/2, max(2, len(got)/3))
	letters := []rune(Fold(got))
	for _, a := range allowed {
		if d := distance(letters, []rune(Fold(a)), bestDistance); d < bestDistance {
			best, bestDistance = a, d
		}
	}
	if best == "" {
		return ""
	}
	return fmt.Sprintf(" (did you mean %q?)", best)
}

// Fold drops what people vary without meaning: case, and how words are joined.
func Fold(s string) string { return joined.Replace(strings.ToLower(s)) }

var joined = strings.NewReplacer("_", "-", " ", "-")

// QuoteAll lists the names in quotation marks.
func QuoteAll(names []string) string {
	q := make([]string, len(names))
	for i, n := range names {
		q[i] = fmt.Sprintf("%q", n)
	}
	return strings.Join(q, ", ")
}

// distance is the number of letters to insert, delete, replace or swap with
// their neighbour (optimal string alignment distance), or enough where it is at
// least that.
func distance(x, y []rune, enough int) int {
	if max(len(x)-len(y), len(y)-len(x)) >= enough {
		return enough
	}
	rows := make([]int, 3*(len(y)+1))
	before, row, next := rows[:len(y)+1], rows[len(y)+1:2*(len(y)+1)], rows[2*(len(y)+1):]
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(x); i++ {
		next[0] = i
		least := i
		for j := 1; j <= len(y); j++ {
			cost := 1
			if x[i-1] == y[j-1] {
				cost = 0
			}
			next[j] = min(row[j]+1, next[j-1]+1, row[j-1]+cost)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				next[j] = min(next[j], before[j-2]+1)
			}
			least = min(least, next[j])
		}
		if least > enough { // a swap takes one off the row before the last
			return enough
		}
		before, row, next = row, next, before
	}
	return row[len(y)]
}
