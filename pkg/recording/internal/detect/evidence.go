package detect

import (
	"bytes"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/parse"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/unit"
)

// evidence is what the sample's cells of one column look like.
type evidence struct {
	kind      cell.Kind
	count     [cell.Kinds]int
	values    []float64
	head      int // how many of values come from the head of the file
	unit      string
	firstText string
	fraction  bool // some number has a decimal mark
	digits    int  // length of all bare numbers
}

func (e *evidence) see(b []byte, decimal byte, inHead bool) {
	k := cell.Classify(b, decimal)
	e.count[k]++
	if k == cell.Numeric {
		e.digits += len(b)
	}
	switch k {
	case cell.Numeric:
		v, _ := parse.Number(b, decimal)
		e.values = append(e.values, v)
		e.fraction = e.fraction || bytes.IndexByte(b, decimal) >= 0
	case cell.UnitNumeric:
		v, rest, _ := parse.NumberPrefix(b, decimal)
		if _, known := unit.LookUp(cell.Decode(rest)); !known {
			if a, ok := parse.Degrees(b, decimal); ok {
				v, rest = a, []byte("°")
			}
		}
		e.values = append(e.values, v)
		e.fraction = true
		if e.unit == "" {
			e.unit = cell.Decode(rest)
		}
	case cell.Unit:
		if e.unit == "" {
			e.unit = cell.Decode(b)
		}
	case cell.Text:
		if e.firstText == "" {
			e.firstText = cell.Excerpt(b)
		}
	}
	if inHead {
		e.head = len(e.values)
	}
}

// longest is the length beyond which a number is no reading: twice what is
// usual in the column, and more digits than float64 holds.
func (e evidence) longest() int {
	return max(20, 2*e.digits/max(1, e.count[cell.Numeric]))
}

// fractional reports whether any number is not whole.
func (e evidence) fractional() bool {
	for _, v := range e.values {
		if v != math.Trunc(v) {
			return true
		}
	}
	return false
}
