package exercise

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/roadload"
)

// AirToCorrectWith asks which air a run's power is corrected with where the
// intake is on trial: A the outside air, B the intake's, C the bay's, D none.
func AirToCorrectWith() Exercise {
	return Exercise{ID: "14-1",
		right:  letters("A"),
		praise: "The weather goes out, what the change did stays in.",
		begin: []string{
			"Write one of the letters A to D between the quotes. What differs between two days without anybody's doing, and what did you change?",
			"A correction takes out what it is given. Which of the four is nothing that you changed?",
		},
		mistakes: []Mistake{
			{ID: "intake", shows: letters("B"), hints: []string{
				"The cooler intake is what you changed. What is left of it if you correct with its temperature?",
				"You would take the effect out and find that nothing has changed.",
			}},
			{ID: "bay", shows: letters("C"), hints: []string{
				"Does the engine breathe the bay's air on both sides of the comparison? With a duct it does not.",
				"The bay's heat comes from the car. You want to take out the weather alone.",
			}},
			{ID: "none", shows: letters("D"), hints: []string{
				"Then a cold day after a hot one looks like a gain. How much was 15 K worth in notebook 08?",
				"Two days differ by more than 3 % of power. That must go out.",
			}},
		}}
}

// PullsInAll asks how many full-throttle pulls an experiment takes to show 3 %:
// both directions, before and after together.
func PullsInAll(r roadload.Resolution) Exercise {
	e := Exercise{ID: "14-2",
		praise: "Each way, before and after: four times what the table says.",
		begin: []string{
			"The table gives pulls each way for one of the two sides. How many ways, and how many sides, has the comparison?",
			"Take the row of 3 %. You drive it there and back, and you do that before and after the change.",
		},
	}
	pairs, known := r.PairsFor[3]
	one, two := r.PairsFor[1], r.PairsFor[2]
	if !known || pairs < 2 || one <= two || two <= pairs {
		e.lacking = "the experiment says nothing of 3 %. Resolve it first."
		return e
	}
	n := float64(pairs)
	e.right = near(0.5, 4*n)
	e.mistakes = []Mistake{quoted,
		{ID: "each way", shows: near(0.4, n), hints: []string{
			"That is what the row says: pulls each way, for one of the two sides. Do you only drive away from home?",
			"Two ways and two sides: how often does the row count?",
		}},
		{ID: "one side", shows: near(0.4, 2*n), hints: []string{
			"That counts two of the things that are doubled. Which is missing?",
			"There and back before the change, and there and back after it.",
		}},
		{ID: "another change", shows: near(0.5, 4*float64(two), 4*float64(one)), hints: []string{
			"That would do for a smaller change. Which row is asked for?",
			"Read the row of 3 %.",
		}},
		{ID: "in proportion", shows: near(0.7, 4*float64(one)/3), hints: []string{
			"You divided the pulls for 1 % by three. Does half the change take twice the pulls?",
			"Scatter falls with the root of the number: pulls go with the square of what you want to see. The row of the table has it.",
		}},
	}
	return e
}

// SlowerPull asks by how many seconds a pull takes longer with 3 % less power.
func SlowerPull(r roadload.Resolution) Exercise {
	e := Exercise{ID: "14-3",
		praise: "More than the same share of the time: the road takes its part of the power first, and what is left for accelerating shrinks by more.",
		begin: []string{
			"The experiment holds the time of a pull, and its sensitivity: the relative change of time for a relative change of power.",
			"Multiply three: the change of power, the sensitivity, the time. Mind the signs.",
		},
	}
	longer := -0.03 * r.Sensitivity * r.Time
	plain := 0.03 * r.Time
	if !(longer > 1.1*plain) || math.IsInf(longer, 0) {
		e.lacking = "the experiment gives no time and sensitivity. Resolve it first."
		return e
	}
	tolerance := (longer - plain) / 3
	e.right = near(tolerance, longer)
	e.mistakes = []Mistake{quoted,
		{ID: "share of the time", shows: near(tolerance, plain), hints: []string{
			"That is 3 % of the time. Does all of the power go into accelerating?",
			"Part of the power is spent on the road load whatever you do. The experiment's sensitivity knows how much that matters.",
		}},
		{ID: "shorter", shows: near(tolerance, -longer, -plain), hints: []string{
			"With less power, does a pull take less time?",
			"Less power, more time: two minus signs meet.",
		}},
		{ID: "percent", shows: near(100*tolerance, 100*longer, 100*plain), hints: []string{
			"That is a hundred times as much. What is 3 % as a share of one?",
			"A pull takes only seconds in all. Multiply by 0.03.",
		}},
		{ID: "relative", shows: near(tolerance/r.Time, -0.03*r.Sensitivity), hints: []string{
			"That is the change as a share of the time. The question is seconds.",
			"Multiply that share by the time of a pull.",
		}},
	}
	return e
}
