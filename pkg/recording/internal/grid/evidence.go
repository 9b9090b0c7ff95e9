package grid

import (
	"bytes"
	"cmp"
	"math"
	"slices"

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
	// Mangled says that some of the numbers stand as days and months, Grouped
	// that some have a mark between thousands.
	Mangled, Grouped bool
	// OtherMark says that some have the other decimal mark, such as FirstOther.
	OtherMark  bool
	FirstOther string
	digits     int // length of all bare numbers
	decimals   int // most digits behind a decimal mark
	odd        []float64
	other      []float64 // with the other decimal mark
}

// settle says what kind the column is, with numbers that a spreadsheet spoilt
// or that have marks between thousands among the others where the plain ones
// leave no doubt: days and months beside numbers of one decimal, and numbers
// below a thousand beside grouped ones.
func (e *Evidence) settle() {
	plain := e.Count[cell.Numeric]
	e.Mangled = e.Count[cell.DayMonth] > 0 && plain > 0 && e.decimals == 1
	e.Grouped = e.Count[cell.Grouped] > 0 && plain > 0 && !slices.ContainsFunc(e.Values, func(v float64) bool { return math.Abs(v) >= 1000 })
	if e.Mangled || e.Grouped {
		e.Count[cell.Numeric] += e.Count[cell.DayMonth] + e.Count[cell.Grouped]
		e.Count[cell.DayMonth], e.Count[cell.Grouped] = 0, 0
		e.Values = append(e.Values, e.odd...)
	}
	if e.OtherMark = len(e.other) > 0 && plain > len(e.other)/20; e.OtherMark {
		e.Count[cell.Numeric] += len(e.other)
		e.Count[cell.Text] -= len(e.other)
		e.Values = append(e.Values, e.other...)
	}
	e.Kind = mostCommon(e.Count)
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
		i := bytes.IndexByte(b, decimal)
		e.Fraction = e.Fraction || i >= 0
		if i >= 0 {
			e.decimals = max(e.decimals, len(b)-i-1)
		}
	case cell.DayMonth, cell.Grouped:
		v, ok := parse.DayMonth(b)
		if k == cell.Grouped {
			v, ok = parse.Grouped(b, decimal)
		}
		if ok {
			e.odd = append(e.odd, v)
		}
		if e.FirstText == "" {
			e.FirstText = cell.Excerpt(b)
		}
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
		if v, ok := parse.OtherMark(b, decimal); ok {
			e.other = append(e.other, v)
			e.FirstOther = cmp.Or(e.FirstOther, cell.Excerpt(b))
		}
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
