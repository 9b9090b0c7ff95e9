package segment

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
)

// ceiling is what is known of the most that the engine gives at the wheels, and
// of how its driver uses it. What is asked of the engine in a hard stretch is
// taken as normal in its logarithm (a habit), or without limit (the foot on the
// floor); what it gives is the smaller of that and the ceiling, which pulls at full
// throttle pile up at whatever the driver. It is worked out on a grid.
type ceiling struct {
	least float64 // W/kg, of a stretch that counts
	trust float64 // in a probability
	cells []belief
}

// belief is one state of things and its probability.
type belief struct {
	most            float64 // logarithm of the ceiling in W/kg
	habit, scatter  float64 // of the logarithm of what is asked for
	floored, weight float64 // share of the stretches with the foot on the floor
}

// What is known of the ceiling before any drive. Of the rated power 0.86 to 0.94
// arrive through gearbox and axle (common practice), 0.77 to 1 is there in the
// gears in which people pull (P = P_r (x + x² - x³) from 0.62 of the rated speed
// on: Genta, from memory), and 0.9 to 1 by air, mixture and age; the mass is known
// within 5 %. Without rated power or mass nothing is known but what such cars have
// been, 15 to 80 W/kg. Common practice, no source.
const (
	shareOfRated, shareSpread = 0.77, 0.09
	usualCeiling, usualSpread = 35.0, 0.45
	// gearSpread is how far pulls of one car differ: gear, air, mixture.
	gearSpread = 0.05
	// People accelerate alike in weak cars and in strong ones: 0.9 to 1.9 m/s² at
	// 50 to 70 km/h where they are in a hurry.
	usualHabit, habitSpread = 27.0, 0.25
	// unrated is what a probability is worth without rated power and mass: then
	// nothing says that what the stretches pile up at is the engine's most, and not
	// its driver's.
	unrated = 0.6
	// newsOfEach is how much one stretch tells beside the others: those of one
	// drive have its driver, its gears and its hills in common. Judgement.
	newsOfEach = 0.35
	// leastShare is the share of the rated power below which no stretch is
	// thought of.
	leastShare = 0.48
)

// learnCeiling learns it from the hard stretches of a car's drives.
func learnCeiling(motions []*motion, rules Rules) *ceiling {
	rated := 0.0 // W/kg, the engine's power over the car's mass; 0 not known
	for _, m := range motions {
		if d := m.of; d.RatedPower > 0 && d.Mass > 0 {
			rated = math.Max(rated, float64(d.RatedPower)/float64(d.Mass))
		}
	}
	middle, spread, least := usualCeiling, usualSpread, rules.FullThrottlePower
	if rated > 0 {
		middle, spread, least = shareOfRated*rated, shareSpread, math.Min(least, leastShare*rated)
	}
	c := &ceiling{least: least, trust: unrated}
	if rated > 0 {
		c.trust = 1
	}
	var seen []surge
	for _, m := range motions {
		seen = append(seen, m.surges(least, rules)...)
	}
	for z := -3.4; z <= 3.5; z += 0.2 {
		for y := -2.0; y <= 3; y += 0.5 {
			for _, scatter := range habitSpreads {
				b := belief{most: math.Log(middle) + z*spread, habit: math.Log(usualHabit) + y*habitSpread, scatter: scatter}
				c.cells = append(c.cells, c.weigh(b, -z*z/2-y*y/2, seen)...)
			}
		}
	}
	c.normalise()
	return c
}

// What is tried for the scatter of a driver's habit and for the share of the hard
// stretches with the foot on the floor.
var (
	habitSpreads  = []float64{0.1, 0.17, 0.28}
	flooredShares = []float64{0, 0.1, 0.25, 0.5, 0.75, 0.95}
	// Half of all drivers are taken never to do it.
	priorOfShares = []float64{0.5, 0.1, 0.1, 0.1, 0.1, 0.1}
)

// weigh returns the belief with each share of stretches with the foot on the
// floor, weighted by the logarithms of prior and likelihood.
func (c *ceiling) weigh(b belief, prior float64, seen []surge) []belief {
	all := make([]belief, len(flooredShares))
	for k, f := range flooredShares {
		all[k] = b
		all[k].floored, all[k].weight = f, prior+math.Log(priorOfShares[k])
	}
	over := c.over(b)
	for _, s := range seen {
		open, part := c.densities(b, s)
		for k, f := range flooredShares {
			o, p := (f+(1-f)*over)*open, (1-f)*part
			switch s.full {
			case 1:
				p = 0
			case -1:
				o = 0
			}
			all[k].weight += newsOfEach * math.Log(o+p+1e-9)
		}
	}
	return all
}

// normalise turns logarithms of weights into probabilities and drops what has
// none.
func (c *ceiling) normalise() {
	top, sum := math.Inf(-1), 0.0
	for _, b := range c.cells {
		top = math.Max(top, b.weight)
	}
	kept := c.cells[:0]
	for _, b := range c.cells {
		if b.weight = math.Exp(b.weight - top); b.weight > 1e-5 {
			kept, sum = append(kept, b), sum+b.weight
		}
	}
	for i := range kept {
		kept[i].weight /= sum
	}
	c.cells = kept
}

// over is the share of ordinary hard stretches in which more is asked of the
// engine than it has.
func (c *ceiling) over(b belief) float64 {
	return math.Min(1, upper((b.most-b.habit)/b.scatter)/c.counted(b))
}

// counted is the share of ordinary stretches that are hard enough to be looked at.
func (c *ceiling) counted(b belief) float64 {
	return math.Max(1e-6, upper((math.Log(c.least)-b.habit)/b.scatter))
}

// densities are those of the stretch's level with the throttle open, and with less
// asked for than there is.
func (c *ceiling) densities(b belief, s surge) (open, part float64) {
	x, noise := math.Log(s.level), s.spread
	open = s.sudden * density(x, b.most, math.Hypot(noise, gearSpread))
	wide := math.Hypot(b.scatter, noise)
	mean := (b.habit*noise*noise + x*b.scatter*b.scatter) / (wide * wide)
	narrow := b.scatter * noise / wide
	return open, density(x, b.habit, wide) / c.counted(b) * upper((mean-b.most)/narrow)
}

// likely is the probability that the throttle was open in the stretch.
func (c *ceiling) likely(s surge) float64 {
	if s.full != 0 {
		return float64(1+s.full) / 2
	}
	sum := 0.0
	for _, b := range c.cells {
		open, part := c.densities(b, s)
		open *= b.floored + (1-b.floored)*c.over(b)
		part *= 1 - b.floored
		if open+part > 0 {
			sum += b.weight * open / (open + part)
		}
	}
	return c.trust * sum
}

func density(x, mean, sd float64) float64 {
	z := (x - mean) / sd
	return math.Exp(-z*z/2) / sd
}

// upper is the normal distribution's upper tail.
func upper(z float64) float64 { return math.Erfc(z/math.Sqrt2) / 2 }

// learnt is what the drives of one car show.
type learnt struct {
	drives map[*drive.Drive]bool
	roads  survey
	most   *ceiling
}

// effort is that of one drive: one of those that this was learnt from, or another.
func (l *learnt) effort(m *motion) effort {
	if l.drives[m.of] {
		return effortOf(m, l.roads)
	}
	own := survey{}
	own.add(m)
	return effortOf(m, l.roads, own)
}

// Learn returns the rules with what the drives of one car show of the most that
// its engine gives at the wheels, and of the roads' grades. A hard stretch whose
// throttle nobody logged counts as full throttle only where that is likely, and
// more drives tell it better: pulls at full throttle pile up at what the engine
// gives, whatever the driver. Rated power and mass ([drive.Drive.RatedPower]) say
// where that is to be expected. Drives without a speed take no part.
func (r Rules) Learn(drives []*drive.Drive) Rules {
	var motions []*motion
	for _, d := range drives {
		if speed, err := d.Channel(drive.Speed); err == nil && speed.Present() >= 10 {
			motions = append(motions, newMotion(d, speed, r))
		}
	}
	r.learnt = learn(motions, r)
	return r
}

// learn learns from motions, and gives each its effort.
func learn(motions []*motion, rules Rules) *learnt {
	l := &learnt{drives: map[*drive.Drive]bool{}, roads: survey{}}
	for _, m := range motions {
		l.drives[m.of] = true
		l.roads.add(m)
	}
	for _, m := range motions {
		m.effort = l.effort(m)
	}
	l.most = learnCeiling(motions, rules)
	return l
}
