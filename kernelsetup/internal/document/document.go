// Package document turns results of the library into the JSON documents that
// the commands account, draft, look and verdict write, and into the text that
// they write without -json: both say the same.
//
// Times are in seconds, instants in the form of RFC 3339, temperatures in °C,
// differences in K, speeds in km/h, whatever the user's units. What is not
// known is null. A field is never missing; later versions may add fields, and
// rename or remove none.
package document

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Schema is the number of this form of the documents.
const Schema = 1

// Number is a number that may be unknown: NaN and infinities are null.
type Number float64

// MarshalJSON writes the number or null.
func (n Number) MarshalJSON() ([]byte, error) {
	x := float64(n)
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return []byte("null"), nil
	}
	return strconv.AppendFloat(nil, rounded(x), 'g', -1, 64), nil
}

// rounded takes off digits that only binary arithmetic has made.
func rounded(x float64) float64 {
	if x == 0 {
		return 0
	}
	short, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 12, 64), 64)
	if err != nil {
		return x
	}
	return short
}

// Known reports whether there is a number.
func (n Number) Known() bool { return !math.IsNaN(float64(n)) && !math.IsInf(float64(n), 0) }

var unknown = Number(math.NaN())

// instant is a time in the form of RFC 3339, nil where it is not known.
func instant(t time.Time) *string {
	if t.IsZero() || t.Year() <= 1 {
		return nil
	}
	s := t.Round(time.Millisecond).Format(time.RFC3339Nano)
	return &s
}

// shown is the unit in which the documents give a dimension.
func shown(d series.Dimension) quantity.Unit {
	switch d {
	case series.TemperatureDifference:
		return d.SI() // K
	case series.Temperature:
		return d.Unit("°C")
	case series.Speed:
		return d.Unit("km/h")
	}
	return d.Shown()
}

// spanText writes two numbers of a document for somebody who reads the units.
func spanText(units quantity.Preferred, d series.Dimension, low, high Number) string {
	own, wanted := shown(d), units.Of(d)
	in := func(n Number) Number { return Number(wanted.FromSI(own.ToSI(float64(n)))) }
	text := fmt.Sprintf("%s to %s %s", digits(in(low)), digits(in(high)), wanted)
	return strings.TrimSuffix(text, " 1") // of plain numbers
}

// Write writes a document with line ends and indents for a person.
func Write(w io.Writer, document any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(document)
}

// list is all, or an empty list where there is none: never null.
func list[T any](all []T) []T {
	if all == nil {
		return []T{}
	}
	return all
}
