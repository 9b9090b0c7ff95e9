package heat

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// idlePower is what idling and friction take of the fuel in W/kg (common
// practice, no source); referenceSpeed in m/s is that of the air flow 1.
const (
	idlePower      = 4.0
	referenceSpeed = 60 * float64(quantity.KilometrePerHour)
)

// RelativeAirflow returns the engine's air flow over that at a steady 60 km/h
// on the level, for a specific power at the wheels in W/kg (kW/t): in
// proportion to that power plus what idling and friction take. With a fixed
// mixture the fuel, and so the heat, goes along with it. A power below 0
// counts as 0.
func RelativeAirflow(specificPower float64) float64 {
	return (idlePower + math.Max(0, specificPower)) / (idlePower + segment.SpecificPower(referenceSpeed, 0, 0))
}

// steadyAirflow is the relative air flow at a steady speed in m/s on a grade.
func steadyAirflow(v, grade float64) float64 {
	return RelativeAirflow(segment.SpecificPower(v, 0, grade))
}

// loadStep is the step of a load in seconds.
const loadStep = 2.0

// load is the engine's relative air flow over a drive, on an even grid.
type load struct {
	from float64
	flow []float64
}

// newLoad estimates the air flow from speed and, where there is one, altitude.
func newLoad(d *drive.Drive) load {
	c, ok := d.Channels[drive.Speed]
	if !ok {
		return load{}
	}
	grid := series.Grid(d.Interval(), loadStep)
	if len(grid) == 0 {
		return load{}
	}
	speed := c.Series.Smooth(5, drive.MaxGap)
	v, a := speed.Resample(grid, drive.MaxGap).Value, speed.Slope(5, drive.MaxGap).Resample(grid, drive.MaxGap).Value
	climb := make([]float64, len(grid))
	if h, ok := d.Channels[drive.Altitude]; ok {
		// A minute, since a receiver's height wanders by metres.
		climb = h.Series.Slope(60, drive.MaxGap).Resample(grid, drive.MaxGap).Value
	}
	l := load{from: grid[0], flow: make([]float64, len(grid))}
	for i := range grid {
		l.flow[i] = RelativeAirflow(0)
		if math.IsNaN(v[i]) || math.IsNaN(a[i]) {
			if i > 0 {
				l.flow[i] = l.flow[i-1]
			}
			continue
		}
		p := segment.SpecificPower(math.Max(0, v[i]), a[i], 0)
		if w := climb[i]; math.Abs(w) < 0.25*v[i] {
			p += float64(quantity.StandardGravity) * w
		}
		l.flow[i] = RelativeAirflow(p)
	}
	return l
}

// over is the mean of x over a span; x has a value for each of the grid's.
func (l load) over(x []float64, v series.Interval) float64 {
	a := max(0, int(math.Ceil((v.From-l.from)/loadStep)))
	b := min(len(x), int(math.Ceil((v.To-l.from)/loadStep)))
	if a >= b {
		return math.NaN()
	}
	return mean(x[a:b])
}

// lagged is the flow to a power, passed through a first-order lag that begins
// at the first flow or, for cold metal, at nothing.
func (l load) lagged(power, tau float64, cold bool) []float64 {
	y := make([]float64, len(l.flow))
	keep := math.Exp(-loadStep / tau)
	state := 0.0
	for i, x := range l.flow {
		p := math.Pow(x, power)
		if i == 0 && !cold {
			state = p
		}
		state = p + keep*(state-p)
		y[i] = state
	}
	return y
}
