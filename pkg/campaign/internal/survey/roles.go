package survey

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/internal/place"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Ignore is the role of a column that is not used.
const Ignore = "ignore"

// Column is one column of a device over all its files.
type Column struct {
	Name string // as a campaign names it
	// Role is a role, Ignore or Undecided; Guess is what an undecided one
	// probably is.
	Role, Guess string
	// Sure says that name and readings leave no doubt.
	Sure bool
	// Spare says that another column of the device plays the role.
	Spare     bool
	Dimension series.Dimension
	Low, High float64 // SI; NaN where it has no reading
	// Written is from where to where its numbers go as the files write them, where
	// it is asked in which unit they are.
	Written string
	Remark  string
	// AsTemperature says that the file does not say that it is a temperature.
	AsTemperature bool

	middle   float64
	readings int
	answered bool // a person gave the role
}

// Likely is the role, or what an undecided one probably is.
func (c Column) Likely() string {
	if c.Role == Undecided {
		return c.Guess
	}
	return c.Role
}

// Roles says what the columns of the device are, over all its files. answers
// gives roles by column.
func (d *Device) Roles(answers map[string]string) {
	d.Columns = nil
	unitOpen := slices.ContainsFunc(d.Open, func(q Question) bool { return q.Key == "temperature_unit" })
	names := d.ColumnNames()
	for i, c := range columns(d.Files[0].ways[0].Recording) {
		out := Column{Name: names[i], Dimension: c.Dimension, Low: math.NaN(), High: math.NaN()}
		var middles []float64
		low, high := math.NaN(), math.NaN() // as written
		for _, f := range d.Files {
			for _, own := range f.readings(c.Name, i) {
				s := own.Series
				if s.Present() == 0 {
					continue
				}
				if out.Dimension != own.Dimension { // a column that is empty in a file has the wrong one
					out.Dimension, c = own.Dimension, own
				}
				lo, hi := s.MinMax(s.Interval())
				out.readings += s.Present()
				out.Low, out.High = least(out.Low, lo), most(out.High, hi)
				if u, err := quantity.Lookup(own.Dimension, own.Unit); unitOpen && own.Dimension == series.Temperature && err == nil {
					low, high = least(low, u.FromSI(lo)), most(high, u.FromSI(hi))
				}
				middles = append(middles, s.Median(s.Interval()))
			}
		}
		if len(middles) > 0 {
			slices.Sort(middles)
			out.middle = middles[len(middles)/2]
		}
		if !math.IsNaN(low) {
			out.Written = fmt.Sprintf("%.1f to %.1f", low, high)
		}
		d.role(&out, c, answers[out.Name])
		d.Columns = append(d.Columns, out)
	}
	d.guess()
	d.spares()
}

func least(a, b float64) float64 {
	if math.IsNaN(a) || b < a {
		return b
	}
	return a
}

func most(a, b float64) float64 {
	if math.IsNaN(a) || b > a {
		return b
	}
	return a
}

// role sets the role of one column and what to remark on it.
func (d *Device) role(out *Column, c *recording.Column, answer string) {
	unitOpen := slices.ContainsFunc(d.Open, func(q Question) bool { return q.Key == "temperature_unit" })
	out.Remark = fmt.Sprint(out.Dimension)
	if out.Dimension == series.Temperature && !math.IsNaN(out.Low) && !unitOpen {
		out.Remark += ", " + d.Reads.Span(quantity.KindTemperature, "%.1f", out.Low, out.High)
	}
	if out.Written != "" {
		out.Remark += ", " + out.Written + " in the file's own numbers"
	}
	temperature := out.Dimension == series.Temperature
	if !temperature && mayBeTemperature(c) && (d.hasTemperatures() || d.saysNothing() && changesSlowly(c)) {
		temperature, out.AsTemperature = true, true
		out.Remark = fmt.Sprintf("%.4g to %.4g, in no unit that the file names; a temperature?", out.Low, out.High)
	}
	switch {
	case answer != "":
		out.Role, out.Sure, out.answered = strings.TrimPrefix(answer, "spare "), true, true
		out.Spare = out.Role != answer
		out.AsTemperature = out.AsTemperature && out.Role != Ignore
		return
	case out.readings < fewestRows:
		out.Role, out.Sure = Ignore, true
		if out.readings == 0 {
			out.Remark += ", no usable value in any file"
		} else {
			out.Remark += fmt.Sprintf(", %d values in all files: nothing was connected", out.readings)
		}
		out.AsTemperature = false
		return
	case temperature:
		out.Role = string(place.Of(c.Name))
		if out.Role == "" {
			out.Role = Undecided
			return
		}
		out.Sure = unitOpen || plausible(out)
		if !out.Sure {
			out.Remark += "; unusual for " + out.Role
		}
		return
	}
	if out.Role, out.Sure = roleOf(c), true; out.Role == Undecided {
		out.Sure = false
		out.Remark = fmt.Sprintf("%.4g to %.4g, by its name a throttle's or pedal's position, which is 0 to 1 or in percent", out.Low, out.High)
	}
}

// plausible reports whether outside air reads like outside air: hotter than
// 60 °C it is none (the highest air temperature on record is below 57 °C,
// WMO).
func plausible(c *Column) bool {
	return c.Role != string(drive.Ambient) || c.middle < quantity.Celsius(60).Kelvin()
}

func (d *Device) hasTemperatures() bool {
	return slices.ContainsFunc(d.Files, func(f *File) bool {
		return slices.ContainsFunc(f.ways[0].Recording.Columns, func(c *recording.Column) bool {
			return c.Dimension == series.Temperature && c.Series.Present() > 0
		})
	})
}

// saysNothing reports whether the device's files name no quantity at all.
func (d *Device) saysNothing() bool {
	return !slices.ContainsFunc(d.Files, func(f *File) bool {
		return slices.ContainsFunc(f.ways[0].Recording.Columns, func(c *recording.Column) bool {
			return c.Dimension != series.Dimensionless
		})
	})
}

// changesSlowly reports whether numbers change from reading to reading by little
// of what they change by in all, as a probe's do, and an accelerometer's do not.
func changesSlowly(c *recording.Column) bool {
	if len(c.Name) < 2 && strings.ContainsAny(strings.ToLower(c.Name), "xyz") {
		return false
	}
	lo, hi := c.Series.MinMax(c.Series.Interval())
	steps, small, last := 0, 0, math.NaN()
	for _, v := range c.Series.Value {
		if d := math.Abs(v - last); !math.IsNaN(d) {
			steps++
			if d < 0.08*(hi-lo) {
				small++
			}
		}
		if !math.IsNaN(v) {
			last = v
		}
	}
	return steps >= fewestRows/2 && lo > -40 && small > steps*9/10
}

// mayBeTemperature reports whether numbers of an unknown kind look like the
// readings of a thermocouple: from −50 to 1200, changing, and not in steps of
// one as counters do.
func mayBeTemperature(c *recording.Column) bool {
	if c.Dimension != series.Dimensionless || c.Unit != "" || c.Series.Present() < fewestRows {
		return false
	}
	lo, hi := c.Series.MinMax(c.Series.Interval())
	if lo < -50 || hi > 1200 || hi-lo < 2 || hi < 5 {
		return false
	}
	name := strings.ToLower(c.Name)
	for _, w := range []string{"accuracy", "genauigkeit", "précision", "precisión", "precisione", "sat", "dop", "index", "count", "lambda", "afr", "battery"} {
		if strings.Contains(name, w) {
			return false
		}
	}
	return !isThrottle(name) && !isPedal(name)
}

// roleOf is the role that a column suggests which is no temperature.
func roleOf(c *recording.Column) string {
	lower := strings.ToLower(c.Name)
	switch {
	case c.Dimension == series.Speed:
		return string(drive.Speed)
	case c.Dimension == series.Angle && strings.HasPrefix(lower, "lat"):
		return string(drive.Latitude)
	case c.Dimension == series.Angle && (strings.HasPrefix(lower, "lon") || strings.HasPrefix(lower, "lng")):
		return string(drive.Longitude)
	case c.Dimension == series.Length && (strings.HasPrefix(lower, "al") || strings.HasPrefix(lower, "ele") || strings.HasPrefix(lower, "h")):
		return string(drive.Altitude)
	case c.Dimension == series.RotationalSpeed:
		return string(drive.EngineSpeed)
	case c.Dimension == series.RelativeHumidity && !isThrottle(lower) && !isPedal(lower):
		return string(drive.Humidity)
	case c.Dimension == series.Dimensionless:
		return plainRole(c, lower)
	case c.Dimension == series.Pressure && airPressure(c):
		return string(drive.Barometer)
	}
	return Ignore
}

// plainRole guesses the role of a column of plain numbers.
func plainRole(c *recording.Column, lower string) string {
	switch {
	case isThrottle(lower) || isPedal(lower):
		if throttleShare(c) {
			return string(drive.Throttle)
		}
		return Undecided
	case strings.Contains(lower, "lambda") && lambdaLike(c):
		return string(drive.Lambda)
	}
	return Ignore
}

// isThrottle reports whether a name in small letters is that of a throttle's
// position, in one of the five languages of names.
func isThrottle(lower string) bool {
	for _, w := range []string{"throttle", "drosselklappe", "papillon", "mariposa", "farfalla"} {
		if strings.Contains(lower, w) {
			return true
		}
	}
	return lower == "tps" || strings.HasPrefix(lower, "tps ") || strings.HasSuffix(lower, " tps")
}

// isPedal reports whether a name in small letters is that of the accelerator
// pedal's position, in one of the five languages of names: where a motor opens
// the throttle, the pedal at its stop asks for all of it.
func isPedal(lower string) bool {
	for _, w := range []string{"accelerator", "pedal", "pédale", "acelerador", "acceleratore"} {
		if strings.Contains(lower, w) {
			return !slices.ContainsFunc([]string{"brake", "brems", "clutch", "kuppl", "frein", "embrayage", "freno", "embrague", "frizione"}, func(o string) bool { return strings.Contains(lower, o) })
		}
	}
	return slices.ContainsFunc(strings.FieldsFunc(lower, func(r rune) bool { return !unicode.IsLetter(r) }), func(w string) bool { return w == "app" || w == "apps" })
}

// throttleShare reports whether values are a share from 0 to 1, or in percent
// without the sign. Up to 5 they are a sensor's volts, beyond 100 its counts.
func throttleShare(c *recording.Column) bool {
	lo, hi := c.Series.MinMax(c.Series.Interval())
	return lo > -5 && (hi <= 1.5 || hi > 10 && hi < 105)
}

// lambdaLike reports whether the middle of the values is a λ that an engine runs
// on.
func lambdaLike(c *recording.Column) bool {
	m := c.Series.Median(c.Series.Interval())
	return m > 0.6 && m < 1.6
}

// airPressure reports whether a pressure is that of the outside air, by its
// name and its values: manifolds and oil have a pressure too.
func airPressure(c *recording.Column) bool {
	name := strings.ToLower(c.Name)
	named := slices.ContainsFunc([]string{"baro", "atmos", "ambient", "air pressure", "luftdruck", "station"}, func(w string) bool { return strings.Contains(name, w) })
	lo, hi := c.Series.MinMax(c.Series.Interval())
	return named && lo > 50000 && hi < 110000
}

// guess says what undecided temperatures probably are, by how warm they are
// beside each other: the coldest is outside air where none is known, one that
// stays between 60 and 110 °C is coolant, hotter than 200 °C is exhaust and not
// used, the others are the bay's air.
func (d *Device) guess() {
	has := func(role drive.Role) bool {
		return slices.ContainsFunc(d.Columns, func(c Column) bool { return c.Role == string(role) || c.Guess == string(role) })
	}
	coldest := -1
	for i, c := range d.Columns {
		if c.Role == Undecided && c.Dimension == series.Temperature && (coldest < 0 || c.middle < d.Columns[coldest].middle) {
			coldest = i
		}
	}
	for i := range d.Columns {
		c := &d.Columns[i]
		if c.Role != Undecided {
			continue
		}
		switch high := quantity.Kelvin(c.High).Celsius(); {
		case c.AsTemperature || c.Dimension != series.Temperature || high > 200: // exhaust, or no temperature at all
			c.Guess = Ignore
		case i == coldest && !has(drive.Ambient) && quantity.Kelvin(c.middle).Celsius() < 40:
			c.Guess = string(drive.Ambient)
		case high > 70 && high < 115 && quantity.Kelvin(c.middle).Celsius() > 60 && !has(drive.TopTank):
			c.Guess = string(drive.TopTank)
		case !has(drive.Intake):
			c.Guess = string(drive.Intake)
		default:
			c.Guess = string(drive.EngineBay)
		}
	}
}

// spares keeps further columns of a role beside the first.
func (d *Device) spares() {
	taken := map[string]bool{}
	for i := range d.Columns {
		c := &d.Columns[i]
		if c.Role == Undecided || c.Role == Ignore || c.Spare {
			continue
		}
		if taken[c.Role] {
			if c.Dimension == series.Temperature || c.AsTemperature {
				c.Spare = true
			} else {
				c.Role = Ignore
			}
		}
		taken[c.Role] = true
	}
}
