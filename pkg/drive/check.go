package drive

import (
	"fmt"
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Suspicion says what a check found.
type Suspicion int

// What the checks look for.
const (
	IntakeBelowAmbient Suspicion = iota // the intake reads colder than the outside air
	AmbientHeated                       // the ambient probe warms at stops
	ChannelsSwapped                     // the order of the temperatures is not that of the roles
	ChannelsAlike                       // two channels carry the same values
	ClockNotAligned                     // a device's times are taken as written
)

// Check is one finding about the drive's channels that is no error but makes
// the roles or the mounting of a probe doubtful.
type Check struct {
	Suspicion Suspicion
	Roles     []Role
	// Device is the one whose clock is meant; empty for findings on channels.
	Device string
	// Size is how large the effect is, in kelvin; for ChannelsAlike the share
	// of equal samples; NaN for ClockNotAligned.
	Size    float64
	Message string
}

// String returns the message.
func (c Check) String() string { return c.Message }

// The limits of the checks. They are common practice, no source: twice the
// repeatability of two probes that were compared side by side is about 1 K.
const (
	orderMargin   = 1.0  // kelvin by which an order must be violated
	orderShare    = 0.10 // share of samples that must violate it
	stopSpeed     = 1.0  // m/s
	stopMinimum   = 45.0 // s, so that air around a probe can warm
	stopRise      = 1.0  // kelvin of mean rise per stop
	singleRise    = 3.0  // kelvin, where there is one stop only
	alikeShare    = 0.98
	alikeMinimum  = 50
	hottestMargin = 5.0 // kelvin that another channel must exceed the coolant by
)

// Checks compares the channels with each other: an intake below ambient, an
// ambient probe that is heated at stops, swapped or doubled channels; and
// names the devices whose clocks could not be aligned. It
// knows what is plausible, not what is true: each finding says what to look
// at.
func (d *Drive) Checks() []Check {
	var all []Check
	for _, f := range []func() (Check, bool){d.checkIntake, d.checkAmbient, d.checkColdest, d.checkHottest} {
		if c, found := f(); found {
			all = append(all, c)
		}
	}
	return append(append(all, d.checkAlike()...), d.checkClocks()...)
}

// checkClocks finds devices of which nothing tells when they recorded.
func (d *Drive) checkClocks() []Check {
	var all []Check
	for _, c := range d.Clocks {
		if !c.Aligned() {
			all = append(all, Check{Suspicion: ClockNotAligned, Device: c.Device, Size: math.NaN(),
				Message: fmt.Sprintf("the clock of %s (%s) is not aligned with the others: %s", c.Device, c.File, strings.Join(estimate.Texts(c.Result.Warnings), "; "))})
		}
	}
	return all
}

// checkIntake: air that the engine breathes cannot be colder than the outside
// air, apart from the probes' errors.
func (d *Drive) checkIntake() (Check, bool) {
	if !d.Has(Intake, Ambient) {
		return Check{}, false
	}
	rise, err := d.Rise(Intake)
	if err != nil {
		return Check{}, false
	}
	margin := orderMargin + 2*math.Hypot(d.Channels[Intake].Uncertainty, d.Channels[Ambient].Uncertainty)
	below, n, sum := 0, 0, 0.0
	for _, x := range rise.Value {
		if math.IsNaN(x) {
			continue
		}
		n++
		if x < -margin {
			below++
			sum -= x
		}
	}
	if n == 0 || float64(below) < orderShare*float64(n) {
		return Check{}, false
	}
	look := "compare both probes side by side, and check that the ambient probe is not heated and the two are not swapped"
	if d.Channels[Ambient].ThisDrive {
		look = "its temperature was noted, not measured: was it as warm where and when the car drove?"
	}
	return Check{Suspicion: IntakeBelowAmbient, Roles: []Role{Intake, Ambient}, Size: sum / float64(below), Message: fmt.Sprintf("the intake reads colder than the outside air in %.0f %% of the samples, by %s on average there; %s", 100*float64(below)/float64(n), d.Units.Say(quantity.KindTemperatureDifference, "%.1f", sum/float64(below)), look)}, true
}

// checkAmbientAtStops: outside air does not warm each time the car stops, but
// a probe near radiator or bonnet does.
func (d *Drive) checkAmbientAtStops() (Check, bool) {
	if !d.Has(Ambient, Speed) {
		return Check{}, false
	}
	ambient := d.Channels[Ambient].Series
	var rises []float64
	for _, stop := range d.stops() {
		before := ambient.Median(series.Interval{From: stop.From - 5, To: stop.From + 5})
		end := ambient.Median(series.Interval{From: stop.To - 10, To: stop.To})
		// What it rose by anyway in the same time before the stop does not count.
		earlier := ambient.Median(series.Interval{From: stop.From - stop.Duration() - 5, To: stop.From - stop.Duration() + 5})
		if rise := end - before - math.Max(0, before-earlier); !math.IsNaN(rise) {
			rises = append(rises, rise)
		}
	}
	sum, rising := 0.0, 0
	for _, r := range rises {
		sum += r
		if r > 0 {
			rising++
		}
	}
	n := float64(len(rises))
	mean := sum / n
	limit := stopRise
	if len(rises) == 1 {
		limit = singleRise
	}
	if len(rises) == 0 || mean < limit || float64(rising) < 0.7*n {
		return Check{}, false
	}
	return Check{Suspicion: AmbientHeated, Roles: []Role{Ambient}, Size: mean, Message: fmt.Sprintf("the ambient channel rises by %s on average at %d stops, as bay heat would make it and outside air would not; mount the probe further forward, and use its lowest values while driving", d.Units.Say(quantity.KindTemperatureDifference, "%.1f", mean), len(rises))}, true
}

// stops returns the stretches at rest that are long enough for a check.
func (d *Drive) stops() []series.Interval {
	s := d.Channels[Speed].Series
	var all []series.Interval
	from := math.NaN()
	last := math.NaN()
	flush := func() {
		if last-from >= stopMinimum {
			all = append(all, series.Interval{From: from, To: last})
		}
		from = math.NaN()
	}
	for i, v := range s.Value {
		if math.IsNaN(v) {
			continue
		}
		t := s.Time[i]
		if t-last > MaxGap || v > stopSpeed {
			flush()
		}
		if v <= stopSpeed && math.IsNaN(from) {
			from = t
		}
		last = t
	}
	flush()
	return all
}

// secondHalf is where the engine is warm in most drives.
func (d *Drive) secondHalf() series.Interval {
	v := d.Interval()
	return series.Interval{From: (v.From + v.To) / 2, To: v.To}
}

func (d *Drive) temperatureRoles() []Role {
	var all []Role
	for _, r := range d.RoleList() {
		if d.Channels[r].Series.Dimension == series.Temperature {
			all = append(all, r)
		}
	}
	return all
}

// checkColdest: nothing on a running car is colder than the outside air. The
// intake has a check of its own.
func (d *Drive) checkColdest() (Check, bool) {
	if !d.Has(Ambient) {
		return Check{}, false
	}
	v := d.secondHalf()
	base := d.Channels[Ambient].Series.Median(v)
	coldest, lowest := Role(""), base-orderMargin
	for _, r := range d.temperatureRoles() {
		if m := d.Channels[r].Series.Median(v); !r.IsIntake() && !r.IsOwn() && r != Ambient && m < lowest {
			coldest, lowest = r, m
		}
	}
	if coldest == "" {
		return Check{}, false
	}
	return Check{Suspicion: ChannelsSwapped, Roles: []Role{Ambient, coldest}, Size: base - lowest, Message: fmt.Sprintf("in the second half %s lies %s below ambient; are these two columns swapped, or is a noted outside temperature wrong?", coldest, d.Units.Say(quantity.KindTemperatureDifference, "%.1f", base-lowest))}, true
}

// checkHottest: once the engine is warm, coolant is hotter than the air.
func (d *Drive) checkHottest() (Check, bool) {
	v := d.secondHalf()
	water, hottest := Role(""), math.Inf(-1)
	for _, r := range []Role{Coolant, TopTank} {
		if d.Has(r) {
			if m := d.Channels[r].Series.Median(v); m > hottest {
				water, hottest = r, m
			}
		}
	}
	if water == "" {
		return Check{}, false
	}
	air, highest := Role(""), hottest+hottestMargin
	for _, r := range []Role{Ambient, Intake, EngineBay, RadiatorAir} {
		if d.Has(r) {
			if m := d.Channels[r].Series.Median(v); m > highest {
				air, highest = r, m
			}
		}
	}
	if air == "" {
		return Check{}, false
	}
	return Check{Suspicion: ChannelsSwapped, Roles: []Role{water, air}, Size: highest - hottest, Message: fmt.Sprintf("in the second half %s lies %s above %s; are these two columns swapped, or did the thermostat stay closed?", air, d.Units.Say(quantity.KindTemperatureDifference, "%.1f", highest-hottest), water)}, true
}

// checkAlike finds two roles that carry the same numbers: one column named
// twice, or a logger that repeats a channel.
func (d *Drive) checkAlike() []Check {
	var all []Check
	roles := d.temperatureRoles()
	for i, a := range roles {
		for _, b := range roles[i+1:] {
			x, y := d.Channels[a].Series, d.Channels[b].Series
			if x.Len() != y.Len() {
				continue
			}
			same, n := 0, 0
			for k := range x.Value {
				if math.IsNaN(x.Value[k]) || math.IsNaN(y.Value[k]) || x.Time[k] != y.Time[k] {
					continue
				}
				n++
				if x.Value[k] == y.Value[k] {
					same++
				}
			}
			if n >= alikeMinimum && float64(same) > alikeShare*float64(n) {
				all = append(all, Check{Suspicion: ChannelsAlike, Roles: []Role{a, b}, Size: float64(same) / float64(n), Message: fmt.Sprintf("%s and %s carry the same values in %.0f %% of the samples; is one column named twice, or is one probe not connected?", a, b, 100*float64(same)/float64(n))})
			}
		}
	}
	return all
}
