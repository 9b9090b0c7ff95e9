package grid

import (
	"bytes"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/parse"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/unit"
)

// Evidence is what the sample's cells of one column look like.
type Evidence struct {
	Kind      cell.Kind
	Count     [cell.Kinds]int
	Values    []float64
	Head      int // how many of values come from the head of the file
	Unit      string
	FirstText string
	Fraction  bool // some number has a decimal mark
	digits    int  // length of all bare numbers
}

func (e *Evidence) see(b []byte, decimal byte, inHead bool) {
	k := cell.Classify(b, decimal)
	e.Count[k]++
	if k == cell.Numeric {
		e.digits += len(b)
	}
	switch k {
	case cell.Numeric:
		v, _ := parse.Number(b, decimal)
		e.Values = append(e.Values, v)
		e.Fraction = e.Fraction || bytes.IndexByte(b, decimal) >= 0
	case cell.UnitNumeric:
		v, rest, _ := parse.NumberPrefix(b, decimal)
		if _, known := unit.LookUp(cell.Decode(rest)); !known {
			if a, ok := parse.Degrees(b, decimal); ok {
				v, rest = a, []byte("°")
			}
		}
		e.Values = append(e.Values, v)
		e.Fraction = true
		if e.Unit == "" {
			e.Unit = cell.Decode(rest)
		}
	case cell.Unit:
		if e.Unit == "" {
			e.Unit = cell.Decode(b)
		}
	case cell.Text:
		if e.FirstText == "" {
			e.FirstText = cell.Excerpt(b)
		}
	}
	if inHead {
		e.Head = len(e.Values)
	}
}

// Longest is the length beyond which a number is no reading: twice what is
// usual in the column, and more digits than float64 holds.
func (e Evidence) Longest() int {
	return max(20, 2*e.digits/max(1, e.Count[cell.Numeric]))
}

// Fractional reports whether any number is not whole.
func (e Evidence) Fractional() bool {
	for _, v := range e.Values {
		if v != math.Trunc(v) {
			return true
		}
	}
	return false
}
