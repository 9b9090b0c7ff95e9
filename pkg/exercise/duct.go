package exercise

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// MeasureFirst asks which of four things that are not known of a duct one
// measures first: A the friction of the hose, B the heat through its wall, C the
// air at its mouth, D the weather.
func MeasureFirst() Exercise {
	return Exercise{ID: "10-1",
		right:  letters("C"),
		praise: "The widest part of the band first, and this one takes a probe and one drive.",
		begin: []string{
			"Write one of the letters A to D between the quotes. The table of what is not known is sorted.",
			"What moves the power most stands in its first line.",
		},
		mistakes: []Mistake{
			{ID: "friction", shows: letters("A"), hints: []string{
				"Corrugations differ, and yet: how far does that move the power?",
				"Compare two lines of the table of what is not known.",
			}},
			{ID: "wall", shows: letters("B"), hints: []string{
				"At full throttle the air is through before it gets warm. How many kelvin were at stake?",
				"Look for heat on the way in the table of what is not known.",
			}},
			{ID: "weather", shows: letters("D"), hints: []string{
				"Duct and open filters breathe the same weather. What is left of it in their difference?",
				"It is not even a line of the table.",
			}},
		}}
}

// ThinnerHose asks how many times as much dynamic pressure the same flow has in
// a thinner hose.
func ThinnerHose(wide, thin quantity.Length) Exercise {
	e := Exercise{ID: "10-2",
		praise: "The fourth power: a hose that is a little too thin costs a lot, and one that is wide enough gains little by more.",
		begin: []string{
			"The same air must pass a smaller hole. How does its speed go with the diameter, and dynamic pressure with the speed?",
			"Speed is flow over area, area goes with the square of the diameter, and dynamic pressure with the square of the speed.",
		},
	}
	ratio := float64(wide / thin)
	if !(ratio > 1.05 && ratio < 10) {
		e.lacking = "the second hose is hardly thinner than the first."
		return e
	}
	factor := math.Pow(ratio, 4)
	tolerance := (factor - ratio*ratio*ratio) / 3
	e.right = near(tolerance, factor)
	e.mistakes = []Mistake{quoted,
		{ID: "diameter", shows: near((ratio-1)/3, ratio), hints: []string{
			"That is the ratio of the diameters. How does the area go with the diameter?",
			"Half the diameter is a quarter of the area.",
		}},
		{ID: "speed", shows: near((ratio-1)/3, ratio*ratio), hints: []string{
			"By that much the air is faster. Is dynamic pressure in proportion to speed?",
			"½·ρ·v²: twice the speed is four times the pressure.",
		}},
		{ID: "upside down", shows: near((1-1/factor)/3, 1/factor), hints: []string{
			"Below one would be less pressure. Does a thinner hose take less?",
			"The wide diameter stands above the line.",
		}},
	}
	return e
}

// WorthOfAKilopascal asks how many kelvin of cooler intake pay for one
// kilopascal of lost pressure by ISO 1585, power going by p^1.2 and T^−0.6.
func WorthOfAKilopascal(outside air.State, intake quantity.Temperature) Exercise {
	e := Exercise{ID: "10-3",
		praise: "A kilopascal is a lot for a duct: it must bring that much cooler air only to be as good as before.",
		begin: []string{
			"One kilopascal is which share of the pressure? That share times 1.2 is the loss of power. Which share of the temperature, times 0.6, is as much?",
			"Temperature counts from absolute zero: intakeT.Kelvin(). Twice the share of the pressure, of that temperature.",
		},
	}
	kelvin, kilopascals := intake.Kelvin(), outside.Pressure.Kilopascals()
	if !(kelvin > 230 && kelvin < 430 && kilopascals > 40 && kilopascals < 120) {
		e.lacking = "the air at the top can't be."
		return e
	}
	worth := 2 * kelvin / kilopascals
	e.right = near(0.6, worth)
	e.mistakes = []Mistake{quoted,
		{ID: "exponents left out", shows: near(0.4, worth/2), hints: []string{
			"Does a percent of pressure cost as much power as a percent of temperature?",
			"The exponents are 1.2 and 0.6. Pressure counts twice.",
		}},
		{ID: "exponents upside down", shows: near(0.3, worth/4), hints: []string{
			"Which of the two weighs more, pressure or temperature?",
			"More kelvin are needed, not fewer: 1.2 stands above the line.",
		}},
		{ID: "degrees Celsius", shows: near(0.2, 2*intake.Celsius()/kilopascals), hints: []string{
			"A share of a temperature in °C is a share of nothing. Where does air have no volume?",
			"Take the temperature in kelvin, from absolute zero.",
		}},
		{ID: "kilopascals for a kelvin", shows: near(0.03, 1/worth), hints: []string{
			"That is what one kelvin pays for. The question is the other way round.",
			"One over it.",
		}},
	}
	return e
}
