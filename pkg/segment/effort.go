package segment

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// What a car without stated road load is taken to have. Common practice for
// saloons of the sixties to eighties, no source.
const (
	usualDragArea = 0.78  // m²
	usualRolling  = 0.015 // 1
	usualMass     = 1100  // kg, for the drag alone
	// rotating is what wheels, axle and engine add to the mass in the gears that
	// a pull is driven in: 0.06 in top to 0.10 in second (common practice).
	rotating   = 0.07
	airDensity = 1.2 // kg/m³
	// windSpread is the standard deviation of the wind along the road in m/s,
	// common practice for ordinary days, no source.
	windSpread = 2.0
	// slopeSpread is that of roads, rise over run; common practice for hilly
	// country, no source.
	slopeSpread = 0.02
)

const gravity = float64(quantity.StandardGravity)

// effort is what the wheels give for each kilogram of car, in W/kg, against
// inertia, grade, tyres and air, in each cell, with the standard uncertainty that
// one stretch does not share with the others: grade and wind.
type effort struct {
	power, spread []float64
	// climb is the acceleration in m/s² that the grade takes.
	climb []float64
}

// effortOf takes the road's grade from the surveys.
func effortOf(m *motion, surveys ...survey) effort {
	mass, area, rolling := float64(m.of.Mass), float64(m.of.DragArea), m.of.RollingResistance
	if !(mass > 0) {
		mass = usualMass
	}
	if !(area > 0) {
		area = usualDragArea
	}
	if !(rolling > 0) {
		rolling = usualRolling
	}
	drag := airDensity / 2 * area / mass
	n := len(m.speed)
	e := effort{power: make([]float64, n), spread: make([]float64, n), climb: make([]float64, n)}
	for i, v := range m.speed {
		slope, spread := grade(m.places[i], surveys)
		e.climb[i] = gravity * slope
		e.power[i] = v * ((1+rotating)*m.rate[i] + e.climb[i] + gravity*rolling + drag*v*v)
		e.spread[i] = math.Hypot(v*gravity*spread, 2*drag*v*v*windSpread)
	}
	return e
}

// slopeWithin is the least-squares slope of height over road, with the road's
// length and the time that it took.
func (m *motion) slopeWithin(road, height []float64, from, to int) (slope, length, time float64) {
	var n, sx, sy, sxx, sxy float64
	first, last := -1, -1
	for i := from; i < to; i++ {
		if math.IsNaN(height[i]) || math.IsNaN(m.speed[i]) {
			continue
		}
		if first < 0 {
			first = i
		}
		last = i
		x, y := road[i]-road[from], height[i]
		n, sx, sy, sxx, sxy = n+1, sx+x, sy+y, sxx+x*x, sxy+x*y
	}
	if n < 3 {
		return 0, 0, 0
	}
	return (n*sxy - sx*sy) / (n*sxx - sx*sx), road[last] - road[first], float64(last-first) * m.step
}

// How fast the error of a height wanders, in m² for each second: 5 m within a
// minute for a receiver, half a metre for a barometer. Common practice, no source;
// what a drive shows while it stands corrects them.
const (
	receiverWander  = 1.0
	barometerWander = 0.02
	wanderKnown     = 30.0 // s of standing that the figures above are worth
)

// height is the car's height in each cell and how fast its error wanders; nil
// where neither a barometer nor a receiver tells it.
func (m *motion) height() (height []float64, wander float64) {
	if c, ok := m.of.Channels[drive.Barometer]; ok {
		height, wander = c.Series.Resample(m.mid, drive.MaxGap).Value, barometerWander
		for i, p := range height {
			height[i] = -metresPerScale * math.Log(p) // from an arbitrary level
		}
	} else if c, ok := m.of.Channels[drive.Altitude]; ok {
		height, wander = c.Series.Resample(m.mid, drive.MaxGap).Value, receiverWander
	} else {
		return nil, 0
	}
	lag := max(1, int(5/m.step))
	square, seconds := wander*wanderKnown, wanderKnown
	for i := lag; i < len(height); i += lag {
		if step := height[i] - height[i-lag]; m.slow[i] < 0.3 && m.slow[i-lag] < 0.3 && !math.IsNaN(step) {
			square, seconds = square+step*step, seconds+float64(lag)*m.step
		}
	}
	return height, square / seconds
}

// metresPerScale is by how many metres the pressure falls to 1/e: R·T/(M·g) at 15 °C,
// International Standard Atmosphere (ISO 2533). On another day heights, and so
// grades, are off by the ratio of its temperature to 288 K: by 5 % at 30 °C.
const metresPerScale = 8434.5

// surge is a stretch in which the car is driven hard.
type surge struct {
	span     series.Interval // s, drive time
	from, to int             // cells
	// level is the mean effort over the stronger half in W/kg, spread its
	// relative standard uncertainty.
	level, spread float64
	// full is 1 where it is known that the throttle was open, -1 where it is
	// known that it was not, 0 else.
	full int
	// sudden is how much likelier it begins so with a foot on the floor.
	sudden float64
}

// surges are the stretches whose effort is above the least for the given time.
func (m *motion) surges(least float64, rules Rules) []surge {
	var all []surge
	hold := max(1, int(math.Ceil(rules.FullThrottleHold/m.step)))
	hard := func(i int) bool {
		return m.effort.power[i] >= least && m.rate[i]+math.Max(0, m.effort.climb[i]) > 0.3 && m.slow[i] > 1
	}
	for i := 0; i < len(m.speed); i++ {
		j := i
		for j < len(m.speed) && hard(j) {
			j++
		}
		if j-i >= hold {
			all = append(all, m.surge(i, j, max(hold, (j-i)/2), rules))
		}
		i = max(i, j-1)
	}
	return all
}

// surge measures cells i to j over the strongest of so many in a row.
func (m *motion) surge(i, j, width int, rules Rules) surge {
	e := m.effort
	s := surge{from: i, to: j, span: series.Interval{From: m.from + float64(i)*m.step, To: m.from + float64(j)*m.step}}
	strongest := i
	for k := i; k+width <= j; k++ {
		if level := mean(e.power, k, k+width); level > s.level {
			s.level, s.spread, strongest = level, mean(e.spread, k, k+width)/level, k
		}
	}
	s.full, s.sudden = m.known(i, j, rules), m.sudden(i, strongest, width)
	return s
}

func mean(x []float64, from, to int) (sum float64) {
	for _, v := range x[from:to] {
		sum += v / float64(to-from)
	}
	return sum
}

// sudden is by how much the way in which a stretch begins speaks for a foot on the
// floor. That gives power at once: what the wheels give grows with the speed at
// most, in one gear, and not at all where the driver changes down. Somebody who
// accelerates briskly gives about the same acceleration all along, and power that
// grows with the speed. The figures are judgement, and kept near 1.
func (m *motion) sudden(from, strongest, width int) float64 {
	from += int(2 / m.step) // the acceleration is known over some seconds only
	to := from + max(1, int(2/m.step))
	if to > strongest+width {
		return 1
	}
	faster := math.Log(mean(m.speed, strongest, strongest+width) / mean(m.speed, from, to))
	if !(faster > 0.1) {
		return 1
	}
	growth := math.Log(mean(m.effort.power, strongest, strongest+width)/mean(m.effort.power, from, to)) / faster
	const brisk, spread = 0.7, 0.35 // the exponent of power over speed
	return math.Min(3, math.Max(0.5, math.Sqrt(2*math.Pi)/density(growth, brisk, spread)))
}

// known says what the owner or a throttle tells of cells i to j.
func (m *motion) known(i, j int, rules Rules) int {
	open, shut := 0, 0
	for k := i; k < j; k++ {
		switch full, told := m.toldFull(k, rules); {
		case full:
			open++
		case told:
			shut++
		}
	}
	switch {
	case 2*open > j-i:
		return 1
	case 2*shut > j-i:
		return -1
	}
	return 0
}
