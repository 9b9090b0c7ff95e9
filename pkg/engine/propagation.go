package engine

import (
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/engine/internal/draws"
	"github.com/bonnetbook/bonnetbook/pkg/engine/internal/metered"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// propagation carries draws through the change of power.
type propagation struct {
	c              Charge
	before, change estimate.Estimate
	lambda         LambdaRange
}

// drawn is the change of power of one draw, in its two parts.
type drawn struct{ air, mixture float64 }

func (d drawn) total() float64 { return (1+d.air)*(1+d.mixture) - 1 }

// lawLess and lawMore are how far the mixture's law may be off, as shares of
// the shift: it has one outside check only. Tables of jets go by up to twice the
// shift, as if fuel did not follow the density at all, against a venturi's equations.
const lawLess, lawMore = 0.25, 1.0

// at returns the change of power for the inputs' quantiles.
func (p propagation) at(u [inputs]float64) drawn {
	from := p.c.Outside.Temperature.Kelvin() + draws.Quantile(p.before, u[ofBefore])
	to := from + draws.Quantile(p.change, u[ofChange])
	pressure := float64(p.c.Outside.Pressure) + draws.Normal(u[ofPressure])*float64(p.c.PressureUncertainty)
	vapour := max(0, float64(p.c.Outside.VapourPressure)+draws.Normal(u[ofVapour])*float64(p.c.VapourUncertainty))
	g := p.c.Metering
	// What is not known of the two losses' difference is put on the second.
	g.LossAfter = max(0, g.LossAfter+quantity.Pressure(2*u[ofDuct]-1)*p.c.LossUncertainty)
	p0, p1 := pressure-float64(g.LossBefore), pressure-float64(g.LossAfter)
	e0, e1 := vapour*p0/pressure, vapour*p1/pressure

	d := drawn{air: byStandards(u[ofStandards], [3]float64{from, p0, e0}, [3]float64{to, p1, e1})}
	s := shifting{g, metered.Of(p0, from, e0), metered.Of(p1, to, e1)}
	v := unknowns{bowl: u[ofBowl], expansion: u[ofExpansion], bleed: u[ofBleed], signal: u[ofSignal], vent: u[ofVent], holds: u[ofInjection], was: u[ofFuelBefore], is: u[ofFuelAfter]}
	x := math.Pow(s.onOneFuel(v), 1+draws.Leaning(u[ofLaw], lawLess, lawMore)) * s.ethanol(v)
	lambda := p.lambda.Low + u[ofLambda]*(p.lambda.High-p.lambda.Low)
	best := bestLambda[0] + u[ofBest]*(bestLambda[1]-bestLambda[0])
	loss := lossAtOne[0] + u[ofLossAtOne]*(lossAtOne[1]-lossAtOne[0])
	d.mixture = powerAt(lambda*x, best, loss)/powerAt(lambda, best, loss) - 1
	return d
}

// byStandards returns the change of power between two airs, each given by its
// temperature, pressure and vapour pressure in SI units: the u-quantile between
// the lowest, the middle and the highest of the standards.
func byStandards(u float64, from, to [3]float64) float64 {
	var changes [standards]float64
	for i, f := range formulas {
		k := func(a [3]float64) float64 { return f.factor(a[0], a[1]-a[2], a[1]) }
		changes[i] = k(from)/k(to) - 1
	}
	slices.Sort(changes[:])
	at := u * float64(len(changes)-1)
	i := min(int(at), len(changes)-2)
	return changes[i] + (at-float64(i))*(changes[i+1]-changes[i])
}

// spread works out n draws, in which the inputs that are not varied keep their
// middle.
func (p propagation) spread(n int, varied func(input int) bool) []drawn {
	all := make([]drawn, n)
	var u [inputs]float64
	for i := range all {
		draws.Point(u[:], i, n, varied)
		all[i] = p.at(u)
	}
	return all
}
