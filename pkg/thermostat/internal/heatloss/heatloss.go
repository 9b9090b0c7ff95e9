// Package heatloss says how fast coolant or a tank loses heat while it is too
// cold for any thermostat to have opened.
package heatloss

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/internal/specificpower"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/regression"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat/internal/bins"
)

// window is the time, s, over which a rate of warming is taken, and perKelvin how
// much more where readings come in steps, s for each K of them: the rate from one
// reading to the next of a coarse display is mostly its rounding. It takes mostSteps
// readings at most for that. fewest is the least number of rates that tell anything.
const (
	window    = 30.0
	perKelvin = 80.0
	mostSteps = 3
	fewest    = 10
)

// oneSided is the normal distribution's 95 % quantile.
const oneSided = 1.645

// Rate is the inverse of the time constant of the loss, 1/s.
type Rate struct {
	Value, Error float64 // and its standard error
	Low          float64 // below it with a probability of 5 %
	Span         float64 // K of temperature that the fit spans
}

// LeastTau is the time constant, s, by which coolant behind a shut thermostat
// loses heat at the fastest. Block, hoses and what leaks take 20 to 40 W/K of
// an engine of 60 to 100 kJ/K: 25 min and more. A cabin heater, which is on in
// the cold, takes another 60 W/K (4 to 6 kW at 70 to 80 K): 10 min and more; with
// 15 min real cars in frost, behind a shut valve, were called stuck open.
// A radiator that is never shut off takes 100 to 500 W/K: 2 to 12 min (common
// practice, no source).
const (
	LeastTau        = 1500.0
	leastTauHeating = 600.0
)

// heaterOff is between which temperatures of the coolant at the start, °C, the
// cabin's heater is held to be off: a cold engine on a mild day.
var heaterOff = [2]float64{15, 35}

// LeastTauOf is that of coolant that begins at a temperature, K, with outside air of
// another, NaN where it is not known. A record may begin with an engine that is half
// warm: the outside air tells.
func LeastTauOf(first, air float64) float64 {
	if air < first {
		first = air
	}
	if c := quantity.Kelvin(first).Celsius(); c < heaterOff[0] || c > heaterOff[1] {
		return leastTauHeating
	}
	return LeastTau
}

// lags are the time constants, s, that the metal between combustion and coolant may
// have: 3 to 8 kJ/K over 100 to 200 W/K, or next to nothing (common practice, no
// source).
var lags = []float64{0, 30, 60}

// Fit fits dT/dt = idle + load·P − rate·T to half minutes of driving in which T
// stays below most, K, in readings of quantum, K: the load tells heat that goes in
// from heat that goes out. P is passed through the lag that fits best. t,
// temperature (K), power (see [Power]) and parked have one entry for each bin of
// step seconds. ok is false where too little tells it.
func Fit(t, temperature, power []float64, parked []bool, step, quantum, most float64) (r Rate, ok bool) {
	w := max(1, int(window/step), min(mostSteps, int(math.Ceil(perKelvin*quantum/step))))
	var rates, heights []float64
	var from []int
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := 0; i+w < len(t); i += max(1, w/2) {
		j := i + w
		dt := t[j] - t[i]
		if dt > 1.5*float64(w)*step || parked[i] || parked[j] || max(temperature[i], temperature[j]) > most {
			continue
		}
		y := mean(temperature[i : j+1])
		rates, heights, from = append(rates, (temperature[j]-temperature[i])/dt), append(heights, temperature[0]-y), append(from, i)
		lo, hi = min(lo, y), max(hi, y)
	}
	if len(rates) < fewest {
		return r, false
	}
	opts := regression.DefaultOptions()
	opts.Noise = regression.EffectiveSize
	best := math.Inf(1)
	for _, lag := range lags {
		p := lagged(t, power, lag)
		powers := make([]float64, len(from))
		for k, i := range from {
			powers[k] = mean(p[i : i+w])
		}
		f, err := regression.LeastSquares(rates, [][]float64{regression.Ones(len(rates)), powers, heights}, opts)
		if err != nil || f.RSS >= best {
			continue
		}
		best = f.RSS
		r = Rate{Value: f.Coefficients[2], Error: f.StandardError(2), Span: hi - lo}
		r.Low = r.Value - oneSided*r.Error
	}
	return r, !math.IsInf(best, 1)
}

// lagged is x behind a first-order lag that begins at its first value.
func lagged(t, x []float64, tau float64) []float64 {
	if tau == 0 || len(x) == 0 {
		return x
	}
	y := make([]float64, len(x))
	y[0] = x[0]
	for i := 1; i < len(x); i++ {
		y[i] = y[i-1] + (x[i]-y[i-1])*-math.Expm1(-(t[i]-t[i-1])/tau)
	}
	return y
}

// Power is what speed (m/s) and acceleration ask of the engine at each time t
// (s), W for each kilogram of car: rolling, air and inertia, none when it
// brakes.
func Power(t, speed []float64) []float64 {
	p := make([]float64, len(speed))
	for i, v := range speed {
		a := 0.0
		if 0 < i && i+1 < len(speed) {
			a = (speed[i+1] - speed[i-1]) / (t[i+1] - t[i-1])
		}
		p[i] = max(0, specificpower.Of(v, a, 0))
	}
	return p
}

// PowerOf is [Power] of the speed given at bins of step seconds; of the speed as it
// was read in the drive, which may be nil, where its readings are closer than the
// bins, since a mean over these does not show what is between two of them.
func PowerOf(d *drive.Drive, t, speed []float64, step float64) []float64 {
	power := Power(t, speed)
	if d == nil {
		return power
	}
	if c := d.Channels[drive.Speed].Series; step > 1.5*c.Step() {
		fine := max(1, c.Step())
		grid := series.Grid(c.Interval(), fine)
		if v := bins.Along(d, drive.Speed, grid, fine); v != nil {
			bins.Average(power, t, step, &series.Series{Time: grid, Value: Power(grid, v)})
		}
	}
	return power
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}
