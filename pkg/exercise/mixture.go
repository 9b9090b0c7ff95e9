package exercise

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/engine"
)

// BeforeFullThrottle asks what comes first where a cooler intake was fitted and
// nobody knows the mixture: A advance the ignition, B measure the mixture, C
// drive and listen, D fit a larger air filter.
func BeforeFullThrottle() Exercise {
	return Exercise{ID: "09-2",
		right:  letters("B"),
		praise: "A lean mixture at full throttle is what does harm, and no log of temperatures shows it.",
		begin: []string{
			"Write one of the letters A to D between the quotes. What did the cooler air change that can damage an engine?",
			"Of four things three act or hope. Which one finds out?",
		},
		mistakes: []Mistake{
			{ID: "ignition", shows: letters("A"), hints: []string{
				"Cooler air knocks less. Does the log say how much this engine had in hand before?",
				"Look at the box under the octane numbers. And a lean mixture runs hot.",
			}},
			{ID: "listen", shows: letters("C"), hints: []string{
				"Some damage is done before it is heard. What could you know beforehand?",
				"Full throttle with a mixture that nobody knows is the risk itself.",
			}},
			{ID: "filter", shows: letters("D"), hints: []string{
				"What would a larger filter do to the mixture?",
				"One change at a time. This would be a second one on top of an unknown.",
			}},
		}}
}

// DayForIce asks on which day carburettor ice is likeliest with intake air as
// outside: A −15 °C and dry snow, B 22 °C with a dew point of 5 °C, C 35 °C with a
// dew point of 10 °C, D 22 °C with a dew point of −15 °C.
func DayForIce() Exercise {
	return Exercise{ID: "09-1",
		right:  letters("B"),
		praise: "A fine afternoon of 33 % humidity, and the chart says serious at small throttle: the carburettor is 20 K colder than the air.",
		begin: []string{
			"Write one of the letters A to D between the quotes. It takes water in the air, and a carburettor below freezing. Which days have both?",
			"engine.AssessIcing weighs the chart and the texts for a state of the air. Try the four.",
		},
		mistakes: []Mistake{
			{ID: "coldest", shows: letters("A"), hints: []string{
				"It is cold, but how much water does air of −15 °C hold?",
				"The chart has no zone there: the colder the air, the less there is to freeze.",
			}},
			{ID: "hottest", shows: letters("C"), hints: []string{
				"Take 20 K off. Is that below freezing?",
				"Fuel cools the carburettor by 20 K, 30 K at most. From 35 °C that is not enough.",
			}},
			{ID: "dry", shows: letters("D"), hints: []string{
				"The temperature would do. What does the dew point say of the water?",
				"A dew point of −15 °C is a very dry day, drier than the chart's zones.",
			}},
		}}
}

// LeanerBy asks by how many percent a shift makes the mixture leaner, by its
// middle figure.
func LeanerBy(shift engine.MixtureShift) Exercise {
	e := Exercise{ID: "09-3",
		praise: "About half of what the density gains: fuel follows the root of it.",
		begin: []string{
			"The shift has a field Ratio: the air–fuel ratio after, over the one before. What is 1.10 as a change in percent?",
			"Take one off the ratio. A hundred times the rest is percent.",
		},
	}
	percent := 100 * (shift.Ratio - 1)
	denser := 100 * (float64(shift.To.Density())/float64(shift.From.Density()) - 1)
	if !(percent > 1) || math.IsInf(percent, 0) || !(denser > 1.3*percent) {
		e.lacking = "the new air is hardly colder than the old, or an injection holds the mixture. Look at the numbers at the top."
		return e
	}
	tolerance := min(0.3, percent/8)
	e.right = near(tolerance, percent)
	e.mistakes = []Mistake{quoted,
		{ID: "fraction", shows: near(tolerance/100, percent/100), hints: []string{
			"That is a share of one. The question is percent.",
			"Percent means of a hundred: multiply.",
		}},
		{ID: "the ratio itself", shows: near(tolerance/100, shift.Ratio), hints: []string{
			"That is the ratio. By how much does it differ from one?",
			"A ratio of 1 is no change at all. Take it off first.",
		}},
		{ID: "the ratio in percent", shows: near(tolerance, 100*shift.Ratio), hints: []string{
			"That is the new mixture in percent of the old. By how much has it changed?",
			"A hundred percent would be no change. Take them off.",
		}},
		{ID: "density", shows: near(tolerance, denser), hints: []string{
			"That is by how much the air is denser. Does the fuel stay as it was?",
			"Denser air draws more fuel, too, but only by the root. The shift has both.",
		}},
		{ID: "richer", shows: near(tolerance, -percent), hints: []string{
			"The minus would be richer. Which way does colder air go?",
			"More air for each drop of fuel is leaner, and that is asked for.",
		}},
	}
	return e
}
