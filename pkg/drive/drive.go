// Package drive joins the recordings of one drive on one clock and gives each
// channel the role it plays: ambient, intake, radiator top tank, speed.
package drive

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/sensor"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Role says what a channel measures on the car.
type Role string

// The roles a channel can have.
const (
	Ambient      Role = "ambient"       // air before the car has warmed it: grille, nose
	Intake       Role = "intake"        // air that enters the engine: air cleaner, trumpet
	EngineBay    Role = "engine-bay"    // air under the bonnet
	TopTank      Role = "top-tank"      // radiator top tank or top hose, behind the thermostat
	BottomTank   Role = "bottom-tank"   // radiator bottom tank or bottom hose
	Coolant      Role = "coolant"       // coolant on the engine side of the thermostat
	RadiatorAir  Role = "radiator-air"  // air that leaves the radiator
	CylinderHead Role = "cylinder-head" // metal of the cylinder head, under a plug or a fin
	Oil          Role = "oil"           // engine oil: sump, dipstick, gallery
	Speed        Role = "speed"         // road speed
	EngineSpeed  Role = "engine-speed"  // crankshaft speed
	Throttle     Role = "throttle"      // throttle opening, 0 to 1
	Lambda       Role = "lambda"        // air over the air that the fuel needs, 1 is stoichiometric; or air–fuel ratio
	Latitude     Role = "latitude"      // radians, north positive
	Longitude    Role = "longitude"     // radians, east positive
	Altitude     Role = "altitude"      // metres above mean sea level
	Barometer    Role = "barometer"     // absolute air pressure in the car
	Humidity     Role = "humidity"      // relative humidity of the outside air
)

var dimensions = map[Role]series.Dimension{
	Ambient: series.Temperature, Intake: series.Temperature, EngineBay: series.Temperature,
	TopTank: series.Temperature, BottomTank: series.Temperature, Coolant: series.Temperature,
	RadiatorAir: series.Temperature, CylinderHead: series.Temperature, Oil: series.Temperature, Speed: series.Speed, EngineSpeed: series.RotationalSpeed,
	Throttle: series.Dimensionless, Lambda: series.Dimensionless, Latitude: series.Angle, Longitude: series.Angle,
	Altitude: series.Length, Barometer: series.Pressure, Humidity: series.RelativeHumidity,
}

// Roles lists all roles with a meaning of their own in alphabetical order.
func Roles() []Role {
	var all []Role
	for r := range dimensions {
		all = append(all, r)
	}
	slices.Sort(all)
	return all
}

// Channel is one series with its role and what is known of its trust.
type Channel struct {
	Role   Role
	Series *series.Series
	// Source names the file and column that the values came from, Column the
	// column alone.
	Source, Column string
	// Device is the name of the logger or phone.
	Device string
	// Unit is the unit in which the file's numbers were read, empty if unknown.
	Unit string
	// Uncertainty is the standard uncertainty of a value that all samples
	// share (calibration, mounting), in the unit of the series; 0 if unknown.
	Uncertainty float64
	// ThisDrive says that Uncertainty is that of this drive alone, as that of a
	// value stated for the day; it is another in the next drive.
	ThisDrive bool
	// Repairs says in words what was done to the values since the file, but for
	// the calibration; see RepairsIn.
	Repairs []string
	// Warnings say what to check before the values are trusted.
	Warnings []estimate.Warning
	// Calibration is what was applied to Series; its Undo gives the readings.
	Calibration sensor.Calibration
}

// Uncalibrated is the standard uncertainty of a probe that was compared with
// nothing: a type K thermocouple of class 2, of which only the tolerance is known
// ([sensor.Class.StandardUncertainty]). A stated limit without more knowledge is
// a rectangle (JCGM 100, 4.3.7), so 2.5 K/√3; every package takes it from here.
func Uncalibrated() quantity.TemperatureDifference {
	u, _ := sensor.Class2.StandardUncertainty(quantity.Celsius(20)) // within the class's range
	return u
}

// ProbeUncertainty is the standard uncertainty of a temperature channel's probe
// in K: the channel's own or, where that is not known, that of [Uncalibrated].
func (c *Channel) ProbeUncertainty() float64 {
	return cmp.Or(c.Uncertainty, Uncalibrated().Kelvins())
}

// RepairsIn says in words what was done to the values since the file, the
// calibration in the given units.
func (c *Channel) RepairsIn(units quantity.Preferred) []string {
	if c.Calibration.IsZero() {
		return c.Repairs
	}
	return append([]string{"calibrated: " + c.Calibration.In(units)}, c.Repairs...)
}

// Readings returns what the sensor reported, with the calibration taken back.
func (c *Channel) Readings() *series.Series {
	if c.Calibration.IsZero() {
		return c.Series
	}
	v := make([]float64, c.Series.Len())
	for i, k := range c.Series.Value {
		v[i] = c.Calibration.Undo(quantity.Kelvin(k)).Kelvin()
	}
	return c.Series.With(c.Series.Name+" as read", c.Series.Dimension, v)
}

// Weather is the state of the outside air during a drive. A zero pressure
// means that none is known.
type Weather struct {
	Pressure            quantity.Pressure // absolute, at the car's altitude
	PressureUncertainty quantity.Pressure // standard uncertainty
	Humidity            quantity.RelativeHumidity
	HumidityUncertainty quantity.RelativeHumidity
	// HumidityKnown tells a measured 0 % from an unknown humidity.
	HumidityKnown bool
	// Source says in words where pressure and humidity came from.
	Source string
}

// Drive is one drive: channels by role, all counting seconds from Start.
type Drive struct {
	Name          string
	Configuration string
	Start         time.Time
	// Channels holds at most one channel for each role.
	Channels map[Role]*Channel
	// Others holds channels whose role was already taken: a second speed, the
	// same place measured by two loggers. Analyses do not use them; checks do.
	Others []*Channel
	// Clocks says for each recording how its clock was brought onto the
	// drive's.
	Clocks  []DeviceClock
	Weather Weather
	// Warming is what the owner says of how the engine gets warm.
	Warming Warming
	// Units are those in which its owner wants to read what is said of it: those
	// asked for ([Request]), else those of its files.
	Units quantity.Preferred
	// FullThrottle are stretches of which the owner says whether the throttle was
	// fully open.
	FullThrottle []StatedStretch
	// RatedPower is the engine's at the crankshaft, Mass the car's as driven; 0
	// where nobody said. Together they tell a brisk pull from one at full throttle.
	RatedPower quantity.Power
	Mass       quantity.Mass
	// DragArea and RollingResistance are the car's; 0 where nobody said.
	DragArea          quantity.Area
	RollingResistance float64
	// Notes say what was assumed, repaired or doubtful.
	Notes []estimate.Warning
}

// Channel returns the series that plays the role. The error names the roles
// that the drive does have.
func (d *Drive) Channel(r Role) (*series.Series, error) {
	if c, ok := d.Channels[r]; ok {
		return c.Series, nil
	}
	return nil, fmt.Errorf("drive %q has no %s channel; it has %v", d.Name, r, d.RoleList())
}

// Has reports whether the drive has all the given roles.
func (d *Drive) Has(roles ...Role) bool {
	for _, r := range roles {
		if _, ok := d.Channels[r]; !ok {
			return false
		}
	}
	return true
}

// RoleList returns the roles of the drive in alphabetical order.
func (d *Drive) RoleList() []Role {
	var all []Role
	for r := range d.Channels {
		all = append(all, r)
	}
	slices.Sort(all)
	return all
}

// Interval returns the span that any channel covers.
func (d *Drive) Interval() series.Interval {
	var all series.Interval
	first := true
	for _, c := range d.Channels {
		v := c.Series.Interval()
		if v.IsEmpty() {
			continue
		}
		if first {
			all, first = v, false
			continue
		}
		all.From, all.To = min(all.From, v.From), max(all.To, v.To)
	}
	return all
}

// MaxGap is the longest gap, in seconds, that analyses bridge by
// interpolation: a few missed readings of a 2 s logger. Longer gaps stay gaps.
const MaxGap = 10.0

// Rise returns how far the channel of the role lies above ambient, in kelvin,
// at that channel's times. The error says which of the two is missing.
func (d *Drive) Rise(r Role) (*series.Series, error) {
	s, err := d.Channel(r)
	if err != nil {
		return nil, err
	}
	amb, err := d.Channel(Ambient)
	if err != nil {
		return nil, err
	}
	return series.Sub(string(r)+" above ambient", s, amb, MaxGap)
}
