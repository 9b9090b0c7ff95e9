package exercise

import "github.com/bonnetbook/bonnetbook/pkg/air"

// PartThrottle asks what warm air costs at a steady speed: A the same share of
// power as at full throttle, B nothing, the foot makes up for it, C more than
// at full throttle, D that can't be said without a test bench.
func PartThrottle() Exercise {
	return Exercise{ID: "08-1",
		right:  letters("B"),
		praise: "Power is what the road asks for; the throttle opens a little further to give it.",
		begin: []string{
			"Write one of the letters A to D between the quotes. Who decides how much power the engine gives at a steady speed?",
			"The road takes the same power on a warm day. What can the driver's foot do that it can't at full throttle?",
		},
		mistakes: []Mistake{
			{ID: "same share", shows: letters("A"), hints: []string{
				"Then the car would slow down. Does it, as long as the pedal has travel left?",
				"Full throttle has nothing in reserve. And a steady speed?",
			}},
			{ID: "more", shows: letters("C"), hints: []string{
				"The intake may well be hotter then, but is power what is lost?",
				"How far is the pedal from its stop at a steady speed?",
			}},
			{ID: "bench", shows: letters("D"), hints: []string{
				"A bench measures full throttle. Here thinking is enough.",
				"Read the sentence below the loss once more: who loses, and when?",
			}},
		}}
}

// PressureToUse asks which pressure belongs to the density of the air at the
// car: A the forecast's, reduced to sea level, B the one at the car, C always
// 1013.25 hPa, D the vapour pressure.
func PressureToUse() Exercise {
	return Exercise{ID: "08-2",
		right:  letters("B"),
		praise: "The engine breathes the air where it stands.",
		begin: []string{
			"Write one of the letters A to D between the quotes. Where is the air that the engine breathes?",
			"On a pass the air is thin. Which of the four would know that?",
		},
		mistakes: []Mistake{
			{ID: "forecast", shows: letters("A"), hints: []string{
				"Forecasts give what the pressure would be at the sea. Is the car there?",
				"Two villages on one slope have the same number in the forecast. Do they have the same air?",
			}},
			{ID: "standard", shows: letters("C"), hints: []string{
				"That is an agreed pressure, for comparing. Was it that on the day of the drive?",
				"Weather and altitude both move the pressure; an agreed number knows neither.",
			}},
			{ID: "vapour", shows: letters("D"), hints: []string{
				"That is only the share of the water in the air.",
				"Vapour is one part of the air; the engine breathes all of it.",
			}},
		}}
}

// ThinnerAir asks by how many percent the air at the intake is thinner than
// the air outside.
func ThinnerAir(outside, intake air.State) Exercise {
	e := Exercise{ID: "08-3",
		praise: "Density goes with the temperature from absolute zero, so a third more °C is not a third less air.",
		begin: []string{
			"Both densities stand above. What share of the outside one is missing at the intake?",
			"One less the quotient of the two densities is that share; a hundred times it is percent.",
		},
	}
	out, in := float64(outside.Density()), float64(intake.Density())
	if !(out > 0) || !(in > 0) || in > 0.99*out {
		e.lacking = "the intake is hardly warmer than the outside air. Look at the numbers at the top."
		return e
	}
	share := 1 - in/out
	percent := 100 * share
	cold, warm := outside.Temperature.Celsius(), intake.Temperature.Celsius()
	tolerance := min(0.3, percent*share/3) // tells the two ways to divide apart
	e.right = near(tolerance, percent)
	e.mistakes = []Mistake{quoted,
		{ID: "fraction", shows: near(tolerance/100, share), hints: []string{
			"That is a share of one. The question is percent.",
			"Percent means of a hundred: multiply.",
		}},
		{ID: "other way round", shows: near(tolerance, -percent, 100*(out/in-1)), hints: []string{
			"Of which of the two is it a share? Thinner than the air outside means: of the air outside.",
			"The outside density stands below the line, and the intake's above it.",
		}},
		{ID: "degrees divided", shows: near(0.5, 100*(1-cold/warm), 100*(warm/cold-1)), hints: []string{
			"You divided degrees Celsius. Is air of 20 °C twice as much of anything as air of 10 °C?",
			"The zero of that scale is only where water freezes. Take the densities that the library computed.",
		}},
		{ID: "what is left", shows: near(tolerance, 100-percent), hints: []string{
			"That is how much of the density is left. How much is missing?",
			"Take it from a hundred.",
		}},
	}
	return e
}
