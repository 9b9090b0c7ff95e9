// Package sibling compares files that one device wrote with each other, and
// names the one that is unlike the rest: another unit than its header says,
// columns exchanged, a column that stands still, another rate.
package sibling

import (
	"fmt"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// File is what one file of a device holds.
type File struct {
	Name    string
	Step    float64 // s, between rows; NaN where that is not known
	Columns []Column
}

// Column is one column of a file, in SI.
type Column struct {
	Name              string
	Kind              quantity.Kind
	Unit              string // in which its numbers were read
	Low, Middle, High float64
	Readings          int
}

// NewFile is a file that holds nothing yet.
func NewFile(name string) File { return File{Name: name, Step: math.NaN()} }

// Add takes in a column. The file's step is that of its last temperature.
func (f *File) Add(name, unit string, s *series.Series) {
	low, high := s.MinMax(s.Interval())
	f.Columns = append(f.Columns, Column{Name: name, Kind: s.Dimension, Unit: unit, Low: low, Middle: s.Median(s.Interval()), High: high, Readings: s.Present()})
	if s.Dimension == quantity.KindTemperature {
		f.Step = s.Step()
	}
}

// Cause is in what a file is unlike the others.
type Cause string

// The causes.
const (
	Unit      Cause = "unit"      // its numbers fit the others' in another unit
	Exchanged Cause = "exchanged" // two of its columns fit each other's place
	Constant  Cause = "constant"  // a column that changes in the others stands still
	Rate      Cause = "rate"      // it was recorded at another rate
)

// Finding is one file that is unlike the others of its device.
type Finding struct {
	File  string
	Cause Cause
	Text  string
}

// Doubts reports whether readings of the file are probably not what they seem.
func (f Finding) Doubts() bool { return f.Cause == Unit || f.Cause == Exchanged }

// The limits are common practice, no source: they are set so that a winter and
// a summer drive, or one of three minutes and one of an hour, are alike.
const (
	fewest     = 3    // files that make out what is usual
	margin     = 12.0 // K beside the range of the others' middles
	share      = 0.5  // of that range, too
	slower     = 3.0  // times the others' rate
	fewReading = 60   // readings in which something must change
)

// Odd compares each file with all others of the device. Columns are the same
// where their names are; less than three files tell nothing.
func Odd(files []File) []Finding {
	if len(files) < fewest {
		return nil
	}
	var all []Finding
	for i, f := range files {
		others := slices.Delete(slices.Clone(files), i, i+1)
		all = append(all, f.units(others)...)
		all = append(all, f.exchanged(others)...)
		all = append(all, f.still(others)...)
		if s := middleOf(others, func(o File) float64 { return o.Step }); f.Step > slower*s || f.Step < s/slower {
			all = append(all, Finding{f.Name, Rate, fmt.Sprintf("it has a row each %.3g s, the other files of its device each %.3g s; is it of another device, or of another setting?", f.Step, s)})
		}
	}
	return all
}

// column finds a column by its name.
func (f File) column(name string) (Column, bool) {
	i := slices.IndexFunc(f.Columns, func(c Column) bool { return c.Name == name && c.Readings > 0 })
	if i < 0 {
		return Column{}, false
	}
	return f.Columns[i], true
}

// usual is between what the middles of a column lie in the files; ok is false
// where too few have it.
func usual(files []File, name string) (low, high float64, ok bool) {
	low, high = math.Inf(1), math.Inf(-1)
	n := 0
	for _, f := range files {
		if c, has := f.column(name); has {
			low, high = math.Min(low, c.Middle), math.Max(high, c.Middle)
			n++
		}
	}
	return low, high, n >= fewest-1
}

// within reports whether x lies in the range, or beside it by no more than
// there is between files anyway.
func within(x, low, high float64) bool {
	beside := margin + share*(high-low)
	return x >= low-beside && x <= high+beside
}

// other are the two units that people log temperatures in, each with the other.
var other = map[string]quantity.Unit{"°C": quantity.KindTemperature.Unit("°F"), "°F": quantity.KindTemperature.Unit("°C")}

// units finds a file all of whose temperatures fit the others' only when they
// are read in the other unit.
func (f File) units(others []File) []Finding {
	from, to := "", quantity.Unit{}
	fit, misfit := 0, 0
	for _, c := range f.Columns {
		low, high, ok := usual(others, c.Name)
		if c.Kind != quantity.KindTemperature || c.Readings == 0 || !ok {
			continue
		}
		u, known := other[c.Unit]
		if !known {
			return nil
		}
		from, to = c.Unit, u
		again := u.ToSI(quantity.KindTemperature.Unit(c.Unit).FromSI(c.Middle))
		switch {
		case !within(c.Middle, low, high) && within(again, low, high):
			misfit++
		case !within(again, low, high):
			fit++
		}
	}
	if misfit == 0 || fit > 0 || !f.extremesFit(others, quantity.KindTemperature.Unit(from), to) {
		return nil
	}
	return []Finding{{f.Name, Unit, fmt.Sprintf("read in %s its temperatures are not those of the other files of its device, and in %s they would be; which was the logger set to? If %s, give the file a device of its own with temperature_unit = %q", from, to, to, to)}}
}

// extremesFit reports whether the coldest and the hottest reading of the file fit
// those of the others in the other unit, and one of them only so: a part that was
// changed moves the middle of a probe, but the engine still starts at the outside
// air, which °F read as °C lies above; and °C read as °F nowhere gets hot.
func (f File) extremesFit(others []File, from, to quantity.Unit) bool {
	extremes := func(f File) (low, high float64) {
		low, high = math.Inf(1), math.Inf(-1)
		for _, c := range f.Columns {
			if c.Kind == quantity.KindTemperature && c.Readings > 0 {
				low, high = math.Min(low, c.Low), math.Max(high, c.High)
			}
		}
		return low, high
	}
	var lows, highs []float64
	for _, o := range others {
		if low, high := extremes(o); low <= high {
			lows, highs = append(lows, low), append(highs, high)
		}
	}
	if len(lows) < fewest-1 {
		return false
	}
	low, high := extremes(f)
	again := func(x float64) float64 { return to.ToSI(from.FromSI(x)) }
	if !within(again(low), slices.Min(lows), slices.Max(lows)) || !within(again(high), slices.Min(highs), slices.Max(highs)) {
		return false
	}
	if again(low) < low { // °F read as °C
		return low > slices.Max(lows)+margin
	}
	return high < slices.Min(highs)-margin
}

// exchanged finds two temperatures of which each lies where the other is usual.
func (f File) exchanged(others []File) []Finding {
	var all []Finding
	for i, a := range f.Columns {
		for _, b := range f.Columns[i+1:] {
			if a.Kind != quantity.KindTemperature || b.Kind != a.Kind || a.Readings == 0 || b.Readings == 0 {
				continue
			}
			aLow, aHigh, aOK := usual(others, a.Name)
			bLow, bHigh, bOK := usual(others, b.Name)
			if aOK && bOK && !within(a.Middle, aLow, aHigh) && !within(b.Middle, bLow, bHigh) && within(a.Middle, bLow, bHigh) && within(b.Middle, aLow, aHigh) {
				all = append(all, Finding{f.Name, Exchanged, fmt.Sprintf("%q reads as %q does in the other files of its device, and %q as %q; were two plugs exchanged?", a.Name, b.Name, b.Name, a.Name)})
			}
		}
	}
	return all
}

// still finds columns that do not change at all while they do in the others.
func (f File) still(others []File) []Finding {
	var all []Finding
	for _, c := range f.Columns {
		if c.Readings < fewReading || c.Low != c.High || c.Kind == quantity.KindNumber {
			continue
		}
		changes, n := 0, 0
		for _, o := range others {
			if x, ok := o.column(c.Name); ok && x.Readings >= fewReading {
				n++
				if x.Low != x.High {
					changes++
				}
			}
		}
		if n >= fewest-1 && changes == n {
			all = append(all, Finding{f.Name, Constant, fmt.Sprintf("%q has the same value in all %d readings, while it changes in the other files of its device; was its sensor connected?", c.Name, c.Readings)})
		}
	}
	return all
}

func middleOf(files []File, of func(File) float64) float64 {
	var x []float64
	for _, f := range files {
		if v := of(f); !math.IsNaN(v) {
			x = append(x, v)
		}
	}
	if len(x) == 0 {
		return math.NaN()
	}
	slices.Sort(x)
	return x[len(x)/2]
}
