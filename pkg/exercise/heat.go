package exercise

import (
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/heat"
)

// SourcesInOrder asks which source of heat is the new one in each of three
// parts of a drive: before the opening, on the road after it, at a stop. A hot
// air from the radiator, B block and exhaust alone, C nothing carries the heat
// away.
func SourcesInOrder() Exercise {
	return Exercise{ID: "07-1",
		right:  letters("BAC"),
		praise: "Each part of the drive shows one source more, and that is how they are told apart.",
		begin: []string{
			"Write the three letters between the quotes, the first one for the first part. What is hot before the thermostat has opened?",
			"What becomes hot when the thermostat opens? And what is missing when the car stands?",
		},
		mistakes: []Mistake{
			{ID: "letter missing", shows: notOf(3), hints: []string{
				"Three parts, three letters, each of them once.",
				"Count your letters. What stands between them does not matter.",
			}},
			{ID: "radiator while closed", shows: firstIs("A"), hints: []string{
				"As long as the thermostat is closed no hot coolant gets into the radiator.",
				"Think of the red line of notebook 01, the radiator's top tank: what did it do in the first minutes?",
			}},
			{ID: "standing first", shows: firstIs("C"), hints: []string{
				"In the first part the car is moving.",
				"Which of the three needs a car that stands?",
			}},
			{ID: "radiator at the stop", shows: letters("BCA"), hints: []string{
				"The radiator is hot at the stop, but it has been hot for a while. Since when?",
				"Ask of the last part: what does the wind of the road no longer do?",
			}},
		}}
}

// firstIs matches a text whose first letter is that one.
func firstIs(letter string) func(any) bool {
	return textThat(func(s string) bool { return strings.HasPrefix(onlyLetters(s), letter) })
}

// FromTheRadiator asks what percentage of the settled rise the radiator added.
func FromTheRadiator(balance heat.Analysis) Exercise {
	e := Exercise{ID: "07-3",
		praise: "The larger part can be kept out by taking the air from another place; the rest comes with the engine.",
		begin: []string{
			"Two numbers of the balance are needed: what the radiator adds, and the rise in settled driving.",
			"Divide the part by the whole. A hundred times that is percent.",
		},
	}
	whole, part := balance.RiseAfter.Value, balance.FromRadiator.Value
	if !(whole > 5) || !(part > 0.1*whole) || part > 0.95*whole {
		e.lacking = "in this drive the radiator's part can't be told from the rest. Open another one."
		return e
	}
	percent := 100 * part / whole
	e.right = near(1.5, percent)
	e.mistakes = []Mistake{quoted,
		{ID: "fraction", shows: near(0.015, part/whole), hints: []string{
			"That is a share of one. The question is percent.",
			"How many of a hundred is that?",
		}},
		{ID: "kelvin", shows: near(0.3, part), hints: []string{
			"That is how many kelvin it adds. What share of all kelvin is it?",
			"The whole is the rise in settled driving; your number belongs above the line.",
		}},
		{ID: "block", shows: near(1.5, 100*balance.RiseBefore.Value/whole), hints: []string{
			"That is the share of what was there before the opening: block and exhaust.",
			"Read the names of the parts again. Which of them came only with the opening?",
		}},
		{ID: "other way round", shows: near(3, 100*whole/part), hints: []string{
			"A part can't be more than the whole.",
			"Which of the two numbers stands below the line?",
		}},
		{ID: "share of air", shows: near(1, 100*balance.MixingFraction.Value, 100*balance.RadiatorShare.Value), hints: []string{
			"That line of the balance says how much of the air, or of the coolant's heat, it is. The question is the rise.",
			"Take the two lines that are in kelvin.",
		}},
	}
	return e
}

// ShortPull asks why a short pull at full throttle breathes hardly warmer air
// and a long one does: A the probe is too slow for a short pull, B the heat of
// the fuel reaches the bay only after a while, C the car drives into warmer
// air, D the thermostat closes.
func ShortPull() Exercise {
	return Exercise{ID: "07-2",
		right:  letters("B"),
		praise: "Heat takes its time, and so the few seconds of overtaking are not the whole hill.",
		begin: []string{
			"Write one of the letters A to D between the quotes. Where does the additional heat come from, and which way must it go?",
			"More fuel makes more heat, in the cylinders. What lies between them and the air in the bay?",
		},
		mistakes: []Mistake{
			{ID: "slow probe", shows: letters("A"), hints: []string{
				"Then a faster probe would read more. The curve is the air's, not the probe's.",
				"A thermocouple follows in seconds. How long does the curve climb?",
			}},
			{ID: "warmer air outside", shows: letters("C"), hints: []string{
				"The outside temperature was held at one value for the whole curve. Look into the cell.",
				"What else is there when the foot goes down, if the weather stays?",
			}},
			{ID: "thermostat closes", shows: letters("D"), hints: []string{
				"More heat in the coolant: does a thermostat open further, or close?",
				"If it closed, the radiator would give off less. Would the bay become warmer?",
			}},
		}}
}
