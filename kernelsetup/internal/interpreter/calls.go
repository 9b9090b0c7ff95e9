package interpreter

import (
	"fmt"
	"strings"
)

// Place returns two or three lines for a traceback: what the call is, where,
// and the source line with a caret.
func (c Call) Place() string {
	var b strings.Builder
	fmt.Fprintf(&b, "  %s, %s, line %d\n", c.Function, c.Cell, c.Line)
	writeSource(&b, c.SourceLine, c.Line, c.Column)
	return strings.TrimRight(b.String(), "\n")
}

// same reports whether two calls are of one place.
func (c Call) same(d Call) bool {
	c.Left, d.Left = 0, 0
	return c == d
}

// writeCalls writes the chain of calls that led to an error. Where calls
// repeat themselves, as in a recursion through one or several functions, they
// are written once and counted.
func writeCalls(b *strings.Builder, e *Error) {
	calls := e.Calls
	from := 0
	if len(calls) > 0 && calls[0].Line == e.Line && calls[0].Cell == e.Cell {
		from = 1 // written already, as the error's place
	}
	for i := from; i < len(calls); {
		if n, hidden := repeated(calls, from, i); n > 0 {
			writeLeft(b, hidden)
			i += n
			continue
		}
		c := calls[i]
		if c.Left > 0 {
			writeLeft(b, c.Left)
		}
		fmt.Fprintf(b, "  called from %s, %s, line %d\n", c.Function, c.Cell, c.Line)
		writeSource(b, c.SourceLine, c.Line, 0)
		i++
	}
}

func writeLeft(b *strings.Builder, n int) {
	if n == 1 {
		fmt.Fprintf(b, "  … 1 more call\n")
		return
	}
	fmt.Fprintf(b, "  … %d more calls\n", n)
}

// repeated tells how many calls from at on only go on with a pattern that ends
// just before it, and how many calls these stand for. The pattern begins at
// from or later.
func repeated(calls []Call, from, at int) (n, hidden int) {
	const longest = 12
	for size := 1; size <= longest && at-size >= from; size++ {
		pattern := calls[at-size : at]
		next, count, hid := 0, 0, 0
		for _, c := range calls[at:] {
			if c.Left > 0 { // goes on somewhere in the pattern
				next = position(pattern, c)
			}
			if next < 0 || !pattern[next].same(c) {
				break
			}
			next = (next + 1) % size
			count++
			hid += 1 + c.Left
		}
		if count >= max(2, size) {
			return count, hid
		}
	}
	return 0, 0
}

func position(pattern []Call, c Call) int {
	for i, p := range pattern {
		if p.same(c) {
			return i
		}
	}
	return -1
}
