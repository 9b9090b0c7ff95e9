package frame

import (
	"fmt"
	"math"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/internal/spelling"
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

// column is one column. Its slices are never changed once it is in a frame.
type column struct {
	name string
	kind Type

	num  []float64     // SI, NaN is missing
	unit quantity.Unit // the unit to show
	// minSec shows a duration as minutes and seconds, 7:05.
	minSec bool
	// additive numbers are those of their row alone, such as its duration: rows
	// that become one add up. Others are averaged.
	additive bool

	code   []int32 // index into levels, −1 is missing
	levels []string

	at []time.Time // the zero time is missing
}

func numbers(name string, unit quantity.Unit, si []float64) *column {
	return &column{name: name, kind: Number, num: si, unit: unit}
}

func instants(name string, at []time.Time) *column {
	return &column{name: name, kind: Instant, at: at}
}

// texts makes a column of texts; present tells which are there, nil all.
func texts(name string, all []string, present func(i int) bool) *column {
	c := &column{name: name, kind: Text, code: make([]int32, len(all))}
	known := map[string]int32{}
	for i, s := range all {
		if present != nil && !present(i) {
			c.code[i] = -1
			continue
		}
		c.code[i] = c.level(s, known)
	}
	return c
}

// level returns the code of a text, a new one where it is new.
func (c *column) level(s string, known map[string]int32) int32 {
	k, ok := known[s]
	if !ok {
		k = int32(len(c.levels))
		known[s], c.levels = k, append(c.levels, s)
	}
	return k
}

func (c *column) len() int {
	return max(len(c.num), len(c.code), len(c.at))
}

// has reports whether row i has a value.
func (c *column) has(i int) bool {
	switch c.kind {
	case Text:
		return c.code[i] >= 0
	case Instant:
		return !c.at[i].IsZero()
	}
	return !math.IsNaN(c.num[i])
}

func (c *column) missing() int {
	n := 0
	for i := range c.len() {
		if !c.has(i) {
			n++
		}
	}
	return n
}

// text returns the text of row i, if it has one.
func (c *column) text(i int) (string, bool) {
	if c.code[i] < 0 {
		return "", false
	}
	return c.levels[c.code[i]], true
}

// take returns the values of these rows; those of negative ones are missing.
func (c *column) take(rows []int) *column {
	d := *c
	switch c.kind {
	case Number:
		d.num = make([]float64, len(rows))
		for k, i := range rows {
			d.num[k] = math.NaN()
			if i >= 0 {
				d.num[k] = c.num[i]
			}
		}
	case Text:
		d.code = make([]int32, len(rows))
		for k, i := range rows {
			d.code[k] = -1
			if i >= 0 {
				d.code[k] = c.code[i]
			}
		}
	case Instant:
		d.at = make([]time.Time, len(rows))
		for k, i := range rows {
			if i >= 0 {
				d.at[k] = c.at[i]
			}
		}
	}
	return &d
}

// named returns the column under another name.
func (c *column) named(name string) *column {
	d := *c
	d.name = name
	return &d
}

// shown returns the numbers in the unit of the column.
func (c *column) shown() []float64 {
	all := make([]float64, len(c.num))
	for i, v := range c.num {
		all[i] = c.unit.FromSI(v)
	}
	return all
}

// minutesAndSeconds is how a person asks for 7:05 instead of 425 s.
const minutesAndSeconds = "min:s"

// in returns the column shown in another unit.
func (c *column) in(unit string) (*column, error) {
	if c.kind != Number {
		return nil, fmt.Errorf("column %q holds %s, which have no unit", c.name, c.kind)
	}
	d := *c
	k := c.unit.Kind()
	if d.minSec = unit == minutesAndSeconds && k == quantity.KindDuration; d.minSec {
		d.unit = k.Unit("min")
		return &d, nil
	}
	u, err := quantity.Lookup(k, unit)
	if err != nil {
		return nil, fmt.Errorf("column %q is a %s: %w", c.name, k, err)
	}
	d.unit = u
	return &d, nil
}

// label names the column with its unit, for a table or an axis.
func (c *column) label() string {
	switch {
	case c.kind != Number:
		return c.name
	case c.minSec:
		return c.name + " (" + minutesAndSeconds + ")"
	case c.unit.Spelling() == "":
		return c.name
	}
	return c.name + " (" + c.unit.Spelling() + ")"
}

// parse reads a quantity that is compared with the column, in SI.
func (c *column) parse(text string) (float64, error) {
	if c.kind != Number {
		return 0, fmt.Errorf("column %q holds %s, which can't be compared with %q", c.name, c.kind, text)
	}
	si, _, err := quantity.Parse(c.unit.Kind(), text)
	if err != nil {
		return 0, fmt.Errorf("column %q: %w", c.name, err)
	}
	return si, nil
}

// unknown says that there is no such column, and which may be meant.
func (f *Frame) unknown(name string) error {
	names := f.Names()
	return fmt.Errorf("no column %q%s; there are %s", name, spelling.Suggestion(name, names), spelling.QuoteAll(names))
}
