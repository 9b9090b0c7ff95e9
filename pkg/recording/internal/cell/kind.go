// Package cell cuts lines of text into cells and tells what a cell looks like on
// its own, whatever stands around it.
package cell

import (
	"bytes"
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/parse"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/unit"
)

// Kind is what a cell looks like on its own.
type Kind int

// The kinds.
const (
	Text Kind = iota
	Empty
	NoValue // a word that stands for no value
	Numeric
	UnitNumeric // a number with its unit behind
	Date
	Clock
	Stamp
	Unit
	HalfDay    // AM or PM
	Hemisphere // N, S, E, W
	DayMonth   // 18. Jul, which a spreadsheet makes of 18.7
	Grouped    // 2,013 or 2.013, with a mark between thousands
	Kinds      // how many there are
)

// Classify says what a trimmed cell looks like. Order matters: a number with
// dots may look like a date, so numbers come first.
func Classify(b []byte, decimal byte) Kind {
	if len(b) == 0 {
		return Empty
	}
	if parse.CompactStamp(b) {
		return Stamp
	}
	if v, ok := parse.Number(b, decimal); ok {
		// Eight digits that make a date stay a number here; detection looks at
		// the column's other evidence.
		if math.IsInf(v, 0) {
			return NoValue
		}
		return Numeric
	}
	if IsNoValue(b) {
		return NoValue
	}
	if k := timeKind(b); k != Text {
		return k
	}
	if len(b) <= len("a.m.") {
		switch strings.ToLower(string(b)) {
		case "am", "pm", "a.m.", "p.m.":
			return HalfDay
		case "n", "s", "e", "w":
			return Hemisphere
		}
	}
	if _, ok := unit.LookUp(Decode(b)); ok {
		return Unit
	}
	if hasUnitBehind(b, decimal) {
		return UnitNumeric
	}
	if _, ok := parse.DayMonth(b); ok {
		return DayMonth
	}
	if _, ok := parse.Grouped(b, decimal); ok {
		return Grouped
	}
	return Text
}

// timeKind tells dates, times and stamps; Text is anything else.
func timeKind(b []byte) Kind {
	if len(b) > 64 || !bytes.ContainsAny(b, "0123456789") {
		return Text
	}
	if isDate(b) {
		return Date
	}
	if _, ok := parse.Clock(b, true); ok {
		return Clock
	}
	if _, ok := parse.Minutes(b); ok && bytes.IndexByte(b, '.') >= 0 {
		return Clock
	}
	if d, c, ok := parse.SplitStamp(b); ok && isDate(d) {
		if _, ok := parse.Clock(c, false); ok {
			return Stamp
		}
	}
	return Text
}

func isDate(b []byte) bool {
	p, n, ok := parse.SplitDate(b)
	return ok && n == len(b) && parse.AnyOrder(p)
}

// hasUnitBehind reports whether a cell is a number with its unit or side.
func hasUnitBehind(b []byte, decimal byte) bool {
	if len(b) > 40 {
		return false
	}
	if _, ok := parse.Degrees(b, decimal); ok {
		return true
	}
	_, rest, ok := parse.NumberPrefix(b, decimal)
	if !ok {
		return false
	}
	_, known := unit.LookUp(Decode(rest))
	return known || (len(rest) == 1 && bytes.ContainsAny(rest, "NSEW"))
}
