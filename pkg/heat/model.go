package heat

import (
	"fmt"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// model is what a drive says about the rise as a function of speed and load.
type model struct {
	shapes    []fittedShape
	higher    []fittedShape // as they would be, did all rises read a kelvin higher
	reference float64       // m/s, the mean speed of the blocks
	flow      float64       // relative, steady at the reference on the level
	ambient   float64       // K, mean
	rise      float64       // K, mean
	most      float64       // the highest flow of a half-minute
	speed     [2]float64
	ambients  [2]float64
	meanFlow  float64 // over flow
	blocks    int
	why       string // why there is no model
	probes    []estimate.Contribution
}

// leastBlocks is how many half-minutes with a warm engine a model needs.
const leastBlocks = 6

// fitModel fits the blocks with a warm engine outside heat soak.
func fitModel(d *drive.Drive, blocks []block, l load) model {
	use := pick(blocks, func(b block) bool { return driving(b) && b.kind != segment.StopAndGo })
	if len(use) < leastBlocks {
		use = pick(blocks, driving)
	}
	m := model{blocks: len(use), probes: probeErrors(d)}
	if len(use) < leastBlocks {
		m.why = fmt.Sprintf("%d half-minutes of driving with a warm engine: too few to predict from", len(use))
		return m
	}
	ambients, speeds, rise := column(use, func(b block) float64 { return b.ambient }), column(use, func(b block) float64 { return b.speed }), rises(use)
	m.ambient, m.reference, m.rise = mean(ambients), mean(speeds), mean(rise)
	m.ambients, m.speed = extent(ambients), extent(speeds)
	m.flow = steadyAirflow(m.reference, 0)
	flows := column(use, func(b block) float64 { return l.over(l.flow, b.span) / m.flow })
	m.most = extent(flows)[1] * m.flow
	heat := laggedLoads{load: l, blocks: use, flow: m.flow}
	fit := func(above float64) []fittedShape {
		higher := slices.Clone(rise)
		for k := range higher {
			higher[k] += above
		}
		return fitAll(higher, shapes(), func(s shape) [][]float64 {
			terms := make([][]float64, len(use))
			for k, h := range heat.of(s.power, s.lag) {
				terms[k] = s.terms(state{speeds[k], flows[k], h}, m.reference)
			}
			return terms
		}, partPriors, math.Max(1, m.rise+above), misfit)
	}
	m.shapes, m.higher = fit(0), fit(1)
	if len(m.shapes) == 0 || len(m.higher) == 0 {
		m.blocks, m.why = 0, "speed or load is not known for the half-minutes with a warm engine"
		return m
	}
	m.meanFlow = mean(flows)
	return m
}

// driving says whether a block takes part in the model.
func driving(b block) bool {
	return b.warm && !b.soaking && b.kind != segment.Stopped && !(b.since < 120)
}

// misfit is by how much the variance of the residuals counts for more, since no
// shape is the car's own and its error returns in all half-minutes alike; beyond
// is the standard deviation, as a share of the rise, that each e-fold of load or
// speed beyond what the drive saw adds. Both are judgement, checked on two
// simulators of different authors.
const (
	misfit = 2.0
	beyond = 0.25
)

// atOnce is the share of that which a flow beyond the drive's does before its heat
// has arrived: more air takes up less on its way, and comes from other corners of
// the bay. Judgement, too: the one simulator's rise falls by 2 K in the first ten
// seconds of a pull, the other's stays.
const atOnce = 0.4

// stretched is the standard deviation, in K, that a rise has because its
// condition lies beyond the drive: of flow, by how much of its heat has arrived,
// and of speed.
func (m model) stretched(rise float64, x asked) float64 {
	arrived := 1.0
	if x.held > 0 {
		arrived = -math.Expm1(-x.held / 110)
	}
	beyondFlow, beyondSpeed := math.Max(0, math.Log(x.flow/m.most)), math.Max(0, math.Log((1+x.speed)/(1+m.speed[1])))
	return beyond * math.Max(rise, m.rise/2) * (beyondFlow*(arrived+(1-arrived)*atOnce) + beyondSpeed)
}

// independentNoise is the variance that each residual would have if it were
// independent of its neighbours and told as much.
func independentNoise(residuals []float64) float64 {
	const least = 0.3 // K: below that the model is not true
	square := 0.0
	for _, e := range residuals {
		square += e * e / float64(len(residuals))
	}
	rho := math.Max(0, math.Min(0.8, series.Autocorrelation(residuals, 1)))
	return math.Max(least*least, square) * (1 + rho) / (1 - rho)
}

// at is the rise at a condition on the drive's own day: its value and variance
// over all shapes, and the part of it that is picked up on the way.
func (m model) at(x asked) (value, variance, way float64) {
	square := 0.0
	for _, f := range m.shapes {
		terms := m.terms(f.shape, x)
		v := f.at(terms)
		value += f.weight * v
		square += f.weight * (v*v + f.variance(terms))
		way += f.weight * math.Max(0, f.part[2]) * terms[2]
	}
	return value, square - value*value, way
}

// offset is by how much the rise at a condition is wrong for each kelvin by which
// the drive's rises are, all alike: more than one where the load is heavier than
// the drive's, since the fit takes some of a probe's constant error for heat.
func (m model) offset(x asked) float64 {
	was, _, _ := m.at(x)
	m.shapes = m.higher
	is, _, _ := m.at(x)
	return is - was
}

// pickUp is the part that the air gathers on its way in, at the drive's mean
// flow, and the one that the priors alone would give.
func (m model) pickUp(s subject) Estimate {
	if m.why != "" {
		return s.unknown(kelvin, "%s", m.why)
	}
	value, square, prior := 0.0, 0.0, 0.0
	for _, f := range m.shapes {
		x := math.Pow(m.meanFlow, -f.exponent)
		v := f.part[2] * x
		value += f.weight * v
		square += f.weight * (v*v + x*x*f.covariance.At(2, 2))
		prior += x * partPriors[2].deviation * math.Max(1, m.rise) / float64(len(m.shapes))
	}
	u := math.Sqrt(square - value*value)
	if u > 0.7*prior || value < 0 {
		return s.unknown(kelvin, "load and speed varied together or too little to tell it apart")
	}
	e := estimate.Between(s.name, value, kelvin, estimate.Interval{Low: math.Max(0, value-normal*u), High: value + normal*u, Level: level}, estimate.WithinDrive, math.Inf(1))
	e.Count, e.Contributions = m.blocks, []estimate.Contribution{{Source: s.source(estimate.ModelSpread), Effect: u}}
	return e
}

func extent(x []float64) [2]float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, v := range x {
		lo, hi = math.Min(lo, v), math.Max(hi, v)
	}
	return [2]float64{lo, hi}
}

// mounted is how far a part that the probe touches or sees pulls it, K
// (judgement).
const mounted = 0.6

// probeErrors are the constant errors of the two probes that a rise is made of.
func probeErrors(d *drive.Drive) (all []estimate.Contribution) {
	for _, c := range []struct {
		role drive.Role
		sign float64
	}{{drive.Intake, 1}, {drive.Ambient, -1}} {
		channel := d.Channels[c.role]
		if channel == nil {
			continue
		}
		id := string(c.role) + " on " + channel.Device
		if channel.ThisDrive { // another one in the next drive
			id += fmt.Sprintf(", drive %q", d.Name)
		}
		all = append(all, estimate.Contribution{Source: estimate.Source{Kind: estimate.Probe, ID: id}, Effect: c.sign * channel.ProbeUncertainty()})
	}
	return append(all, estimate.Contribution{Source: estimate.Source{Kind: estimate.Mounting, ID: string(drive.Intake)}, Effect: mounted})
}

func speedOf(metresPerSecond float64) quantity.Speed {
	return quantity.Speed(metresPerSecond) * quantity.MetrePerSecond
}
