package heatloss

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat/internal/bins"
)

// idlePower is what idling and friction burn, as power at the wheels, W/kg (common
// practice, no source).
const idlePower = 4.0

// leastHeat is the least by which each W/kg of power at the wheels and of idling
// warms the coolant, K/s. At full power 17 to 26 % of the fuel's heat goes into the
// coolant and 25 to 28 % does work, at part load more goes into the coolant
// (Heywood, Internal Combustion Engine Fundamentals, table 12.1, from memory): 0.6 W
// for each W at the clutch, 0.7 W for each at the wheels, into no more than 90 J/K
// for each kilogram of car (100 kJ/K in 1,100 kg; common practice, no source).
const leastHeat = 0.7 / 90

// coldStart is the warmest first reading, °C, of an engine that stood overnight,
// where the outside air is not known; surelyOvernight is what the air is taken to be
// where the engine is warmer.
const (
	coldStart       = 35.0
	surelyOvernight = 20.0
)

// A Way is coolant's way up in bins of Step seconds: its temperature and that
// smoothed, K, in readings of Quantum; the speed, m/s; the power, see [Power];
// whether the car is parked. Most is what is too cold for any thermostat, K.
type Way struct {
	Drive                                   *drive.Drive
	Time, Temperature, Smooth, Speed, Power []float64
	Parked                                  []bool
	Step, Quantum, Most                     float64
}

// Colder returns the first bin at which the coolant, below any thermostat and after
// so many seconds of driving (faster than moving), is colder than it would be behind
// a shut valve if the driving gave it heat times the least, and what that would be;
// -1 without one, and for an engine that may not be cold while the outside air is
// not known.
func (w Way) Colder(heat, driven, moving float64) (at int, than float64) {
	first, air := w.Temperature[0], AirOf(w.Drive)
	if math.IsNaN(air) {
		if quantity.Kelvin(first).Celsius() > coldStart {
			return -1, 0
		}
		air = quantity.Celsius(surelyOvernight).Kelvin()
	}
	least, so := LeastWarmed(w.Time, first, min(air, first), heat, w.Power, w.Parked, Climbing(w.Drive, w.Time, w.Step)), 0.0
	for i, y := range w.Temperature {
		if y > w.Most {
			break
		}
		if w.Speed[i] > moving {
			so += w.Step
		}
		if so >= driven && !w.Parked[i] && w.Smooth[i]+w.Quantum < least[i] {
			return i, least[i]
		}
	}
	return -1, 0
}

// AirOf is the coldest outside air of a drive, K; NaN where it is not known.
func AirOf(d *drive.Drive) float64 {
	if d == nil {
		return math.NaN()
	}
	return bins.ColdestAir(d)
}

// LeastWarmed is the temperature, K, at each time t (s) of coolant behind a shut
// valve that gets heat times the least of the driving since the first and loses as much
// as block and heater take at the most. first is its temperature at t[0], air that of
// the outside; power (see [Power]), parked and climbing (m/s; nil where it is not
// known) have an entry for each t.
//
// Engine less radiator temperature over the heat put in is what US patent 8,046,150
// (claim 2) tells a valve that is stuck open by, too.
func LeastWarmed(t []float64, first, air, heat float64, power []float64, parked []bool, climbing []float64) []float64 {
	const gravity = 9.81
	y := make([]float64, len(t))
	y[0] = first
	for i := 1; i < len(t); i++ {
		p := 0.0
		if !parked[i] {
			p = idlePower + power[i]
			if climbing != nil {
				p = max(0, p+gravity*min(0, climbing[i])) // rolling down a hill gives nothing
			}
		}
		settled := air + heat*leastHeat*p*leastTauHeating
		y[i] = settled + (y[i-1]-settled)*math.Exp(-(t[i]-t[i-1])/leastTauHeating)
	}
	return y
}

// Climbing is how fast a drive gains height at the times t, over a minute, m/s; nil
// where its altitude is not known.
func Climbing(d *drive.Drive, t []float64, step float64) []float64 {
	if d == nil {
		return nil
	}
	h := bins.Along(d, drive.Altitude, t, step)
	if h == nil {
		return nil
	}
	rate := make([]float64, len(t))
	half := max(1, int(30/step))
	for i := range t {
		a, b := max(0, i-half), min(len(t)-1, i+half)
		if b > a {
			rate[i] = (h[b] - h[a]) / (t[b] - t[a])
		}
	}
	return rate
}
