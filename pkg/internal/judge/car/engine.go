package car

import "math"

const (
	fuelJKg       = 44e6 // lower heating value of petrol, Heywood 1988 app. D
	stoichiometry = 14.7
	gravityMPS2   = 9.81
	kelvin        = 273.15
)

var gears = [4]float64{0.29, 0.5, 0.73, 1} // share of the top gear's speed per rpm

// rpm picks a gear: revving when power is wanted, quiet otherwise.
func (c *Car) rpm(speedMPS float64, strong bool) float64 {
	want, most := 0.32*c.RatedRPM, 0.66*c.RatedRPM
	if strong {
		want, most = 0.62*c.RatedRPM, 1.05*c.RatedRPM
	}
	best := speedMPS / (c.TopGearMPSPerRPM * gears[0])
	for _, g := range gears[1:] {
		n := speedMPS / (c.TopGearMPSPerRPM * g)
		if n >= want || best > most {
			best = n
		}
	}
	return max(best, c.IdleRPM)
}

// breath is what the engine does at one moment.
type breath struct {
	powerW, fullW, fuelHeatW, fuelKgS, airKgS, lambda float64
}

// density is that of the air drawn against air at 20 °C and 1013 hPa.
func density(airC, pressurePa float64) float64 {
	return pressurePa / 101325 * 293.15 / (airC + kelvin)
}

// lambda is the mixture: a carburettor leans out with the square root of the
// density of its air (Heywood 1988 ch. 7, from memory), the choke enriches.
func (c *Car) lambda(full bool, airC, pressurePa, warm float64) float64 {
	l := c.LambdaCruise
	if full {
		l = c.LambdaFull
	}
	if c.Mixture != Injection {
		l *= math.Sqrt(density(airC, pressurePa))
	}
	return l * (0.82 + 0.18*warm)
}

// mixturePower is power against that of the best mixture, λ 0.88 (a parabola
// through about -2 % at 1.0; Heywood 1988 fig. 15-, from memory).
func mixturePower(lambda float64) float64 {
	return max(1-1.4*(lambda-0.88)*(lambda-0.88), 0.5)
}

// fullPower is the power at full throttle: x + x² - x³ of the rated speed
// (Genta, Motor Vehicle Dynamics, from memory), pressure to the power 1.2 and
// temperature to the car's own exponent (ISO 1585 has 0.6).
func (c *Car) fullPower(rpm, airC, pressurePa, lossPa, lambda float64) float64 {
	x := min(rpm/c.RatedRPM, 1.2)
	return c.RatedPowerW * max(x+x*x-x*x*x, 0) * mixturePower(lambda) *
		math.Pow((pressurePa-lossPa)/99000, 1.2) *
		math.Pow(298/(airC+kelvin), c.PowerTemperatureExponent)
}

// burn finds fuel and air for a power between 0 and full: a Willans line with
// friction that is larger when cold and throttling that goes with the load.
func (c *Car) burn(powerW, fullW, rpm, lambda, warm float64) breath {
	load := min(max(powerW/max(fullW, 1), 0), 1)
	mepPa := c.FrictionPa*(1+0.8*(1-warm)) + c.ThrottlingPa*(1-load)
	frictionW := mepPa * c.DisplacementM3 * rpm / 120
	heatW := (max(powerW, 0) + frictionW) / c.IndicatedShare
	if powerW < 0 {
		heatW *= 0.6 // overrun: the idle jet still feeds, the wheels drive
	}
	// Rich mixture burns in part (Heywood 1988 fig. 3-9, from memory).
	fuel := heatW / fuelJKg / (1 - 0.9*max(1-lambda, 0))
	return breath{powerW, fullW, heatW, fuel, stoichiometry * lambda * fuel, lambda}
}

// coolantHeat is the heat to the head's metal.
func (c *Car) coolantHeat(fuelHeatW float64) float64 {
	const atW = 40e3
	return c.CoolantShare * atW * math.Pow(fuelHeatW/atW, c.CoolantExponent)
}
