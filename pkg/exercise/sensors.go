package exercise

import (
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/sensor"
)

// BoilingAtSeaLevel asks by how many kelvin water boils hotter at the first
// pressure than at the second: the weather report's and the kitchen's.
func BoilingAtSeaLevel(report, here quantity.Pressure) Exercise {
	e := Exercise{ID: "04-3",
		praise: "A probe would have been blamed for that much, and it was the altitude.",
		begin: []string{
			"The cell above found where water boils at the pressure here. Do the same with the pressure of the weather report, and take one from the other.",
			"Two temperatures have a method Sub: a.Sub(b) is the difference, a less b.",
		},
	}
	high, errHigh := sensor.SaturationTemperature(report)
	low, errLow := sensor.SaturationTemperature(here)
	if errHigh != nil || errLow != nil {
		e.lacking = "one of the pressures is no pressure of the air. Look at the numbers at the top."
		return e
	}
	by := high.Sub(low).Kelvins()
	if by < 0.2 {
		e.lacking = "your kitchen lies at the sea. Put an altitude of some hundred metres at the top."
		return e
	}
	e.right = near(min(0.15, by/4), by)
	e.mistakes = []Mistake{quoted,
		{ID: "temperature, not difference", shows: either(aTemperature, near(0.5, high.Celsius(), low.Celsius())), hints: []string{
			"That is where water boils. The question is by how much two such temperatures differ.",
			"Compute it at both pressures and take one from the other, with Sub.",
		}},
		{ID: "other way round", shows: near(min(0.15, by/4), -by), hints: []string{
			"The size is right. Where does water boil hotter, at the sea or in the hills?",
			"The question takes the hills' value from the sea's. Which of the two stands in front of Sub?",
		}},
		{ID: "from a hundred", shows: near(0.1, quantity.Celsius(100).Sub(low).Kelvins(), quantity.Celsius(100).Sub(high).Kelvins()), hints: []string{
			"You took 100 °C for one of the two. On that day it was not quite that, even at the sea.",
			"Ask the library at both pressures, qnh and here.",
		}},
	}
	return e
}

// The readings of the probe of AfterIce.
const (
	inIce  = 0.4  // °C
	inRoom = 20.4 // °C
)

// AfterIce asks how warm a room is, in °C, where a probe that read 0.4 °C in
// ice reads 20.4 °C.
func AfterIce() Exercise {
	return Exercise{ID: "04-2",
		right:  near(0.05, inRoom-inIce),
		praise: "What a probe reads too much in ice it reads too much elsewhere, as far as one point can tell.",
		begin: []string{
			"How warm is ice, and what did the probe say? So what is its error?",
			"A probe that reads too high must be lowered.",
		},
		mistakes: []Mistake{quoted,
			{ID: "error added", shows: near(0.05, inRoom+inIce), hints: []string{
				"Does this probe read too high or too low?",
				"Put your correction to the test: it must turn what the probe read in ice into zero.",
			}},
			{ID: "not corrected", shows: near(0.05, inRoom), hints: []string{
				"That is what the probe reads. You know from the ice that it is wrong.",
				"What should it have read in ice? It is wrong by as much in the room.",
			}},
			{ID: "error itself", shows: near(0.05, inIce, -inIce), hints: []string{
				"That is by how much the probe is wrong. How warm is the room then?",
				"Take the error from the reading.",
			}},
		}}
}

// WhatDropsOut asks which error does not matter for before against after,
// where the same probe sits at the same spot: A the probe reads 0.8 K too high
// throughout, B the probe was moved in between, C hot metal is in sight only
// in the second drive, D the logger lies in the sun only in the first.
func WhatDropsOut() Exercise {
	same := "Only what is the same in both drives drops out of their difference."
	return Exercise{ID: "04-1",
		right:  letters("A"),
		praise: same,
		begin: []string{
			"Write one of the letters A to D between the quotes. Which error is there before and after, and equally large?",
			"Write down the reading before and the reading after, each with its error, and take one from the other.",
		},
		mistakes: []Mistake{
			{ID: "moved probe", shows: letters("B"), hints: []string{
				"At another spot the air is another. Is that the change that you asked about?",
				"Whatever the two spots differ by looks like an effect of the new part.",
			}},
			{ID: "radiation", shows: letters("C"), hints: []string{
				"Hot metal adds tens of kelvin, as the end of this notebook shows. To which of the two drives?",
				"An error that only one drive has stays whole in the difference.",
			}},
			{ID: "cold junction", shows: letters("D"), hints: []string{
				"In the sun all channels of the logger read too low together. In both drives?",
				"It drops out between two channels of one drive. Here two drives are compared.",
			}},
		}}
}
