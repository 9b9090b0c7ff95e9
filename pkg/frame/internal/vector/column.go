// Package vector holds one column of a frame: numbers with a unit, texts, or
// instants, each of which may be missing.
package vector

import (
	"fmt"
	"math"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Type says what a column holds.
type Type int

// The types of columns.
const (
	Number  Type = iota // numbers with a unit
	Text                // texts, such as names
	Instant             // dates with time of day
)

// String returns the type in a word.
func (t Type) String() string { return [...]string{"numbers", "texts", "instants"}[t] }

// Column is one column. Its slices are never changed once it is in a frame.
type Column struct {
	Name string
	Kind Type

	Num  []float64     // SI, NaN is missing
	Unit quantity.Unit // the unit to show
	// MinSec shows a duration as minutes and seconds, 7:05.
	MinSec bool
	// Additive numbers are those of their row alone, such as its duration: rows
	// that become one add up. Others are averaged.
	Additive bool

	Code   []int32 // index into levels, −1 is missing
	Levels []string

	At []time.Time // the zero time is missing
}

// Numbers makes a column of numbers in SI units.
func Numbers(name string, unit quantity.Unit, si []float64) *Column {
	return &Column{Name: name, Kind: Number, Num: si, Unit: unit}
}

// Instants makes a column of instants.
func Instants(name string, at []time.Time) *Column {
	return &Column{Name: name, Kind: Instant, At: at}
}

// Texts makes a column of texts; present tells which are there, nil all.
func Texts(name string, all []string, present func(i int) bool) *Column {
	c := &Column{Name: name, Kind: Text, Code: make([]int32, len(all))}
	known := map[string]int32{}
	for i, s := range all {
		if present != nil && !present(i) {
			c.Code[i] = -1
			continue
		}
		c.Code[i] = c.Level(s, known)
	}
	return c
}

// Level returns the code of a text, a new one where it is new.
func (c *Column) Level(s string, known map[string]int32) int32 {
	k, ok := known[s]
	if !ok {
		k = int32(len(c.Levels))
		known[s], c.Levels = k, append(c.Levels, s)
	}
	return k
}

// Len returns the number of rows.
func (c *Column) Len() int {
	return max(len(c.Num), len(c.Code), len(c.At))
}

// Has reports whether row i has a value.
func (c *Column) Has(i int) bool {
	switch c.Kind {
	case Text:
		return c.Code[i] >= 0
	case Instant:
		return !c.At[i].IsZero()
	}
	return !math.IsNaN(c.Num[i])
}

// Missing counts the rows without a value.
func (c *Column) Missing() int {
	n := 0
	for i := range c.Len() {
		if !c.Has(i) {
			n++
		}
	}
	return n
}

// Text returns the text of row i, if it has one.
func (c *Column) Text(i int) (string, bool) {
	if c.Code[i] < 0 {
		return "", false
	}
	return c.Levels[c.Code[i]], true
}

// Take returns the values of these rows; those of negative ones are missing.
func (c *Column) Take(rows []int) *Column {
	d := *c
	switch c.Kind {
	case Number:
		d.Num = make([]float64, len(rows))
		for k, i := range rows {
			d.Num[k] = math.NaN()
			if i >= 0 {
				d.Num[k] = c.Num[i]
			}
		}
	case Text:
		d.Code = make([]int32, len(rows))
		for k, i := range rows {
			d.Code[k] = -1
			if i >= 0 {
				d.Code[k] = c.Code[i]
			}
		}
	case Instant:
		d.At = make([]time.Time, len(rows))
		for k, i := range rows {
			if i >= 0 {
				d.At[k] = c.At[i]
			}
		}
	}
	return &d
}

// Named returns the column under another name.
func (c *Column) Named(name string) *Column {
	d := *c
	d.Name = name
	return &d
}

// Shown returns the numbers in the unit of the column.
func (c *Column) Shown() []float64 {
	all := make([]float64, len(c.Num))
	for i, v := range c.Num {
		all[i] = c.Unit.FromSI(v)
	}
	return all
}

// minutesAndSeconds is how a person asks for 7:05 instead of 425 s.
const minutesAndSeconds = "min:s"

// In returns the column shown in another unit.
func (c *Column) In(unit string) (*Column, error) {
	if c.Kind != Number {
		return nil, fmt.Errorf("column %q holds %s, which have no unit", c.Name, c.Kind)
	}
	d := *c
	k := c.Unit.Kind()
	if d.MinSec = unit == minutesAndSeconds && k == quantity.KindDuration; d.MinSec {
		d.Unit = k.Unit("min")
		return &d, nil
	}
	u, err := quantity.Lookup(k, unit)
	if err != nil {
		return nil, fmt.Errorf("column %q is a %s: %w", c.Name, k, err)
	}
	d.Unit = u
	return &d, nil
}

// Label names the column with its unit, for a table or an axis.
func (c *Column) Label() string {
	switch {
	case c.Kind != Number:
		return c.Name
	case c.MinSec:
		return c.Name + " (" + minutesAndSeconds + ")"
	case c.Unit.Spelling() == "":
		return c.Name
	}
	return c.Name + " (" + c.Unit.Spelling() + ")"
}

// Parse reads a quantity that is compared with the column, in SI.
func (c *Column) Parse(text string) (float64, error) {
	if c.Kind != Number {
		return 0, fmt.Errorf("column %q holds %s, which can't be compared with %q", c.Name, c.Kind, text)
	}
	si, _, err := quantity.Parse(c.Unit.Kind(), text)
	if err != nil {
		return 0, fmt.Errorf("column %q: %w", c.Name, err)
	}
	return si, nil
}

// NotOf is the error about a column of another type than was asked for.
func NotOf(c *Column, what string) error {
	return fmt.Errorf("column %q holds %s, not %s", c.Name, c.Kind, what)
}
