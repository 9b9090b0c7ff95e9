package exercise

import (
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/compare"
)

// StepsOfAComparison asks for the order in which two configurations are
// compared: A say what it is worth at full throttle, B take one mean for each
// drive, C see whether the comparison was fair, D drive with both, E set an
// interval around the difference.
func StepsOfAComparison() Exercise {
	return Exercise{ID: "11-2",
		right:  letters("DCBEA", "DBCEA"),
		praise: "What a part is worth comes last: it rests on all the others.",
		begin: []string{
			"Write the five letters in order between the quotes. Which of the steps is done on the road?",
			"Ask of each step what it needs. A sentence about power, for instance, needs a difference of temperatures.",
		},
		mistakes: []Mistake{
			{ID: "letter missing", shows: notOf(5), hints: []string{
				"There are five steps, and each is taken once.",
				"Count the letters that you wrote. Capital or small does not matter.",
			}},
			{ID: "nothing driven yet", shows: either(before("A", "D"), before("B", "D"), before("C", "D"), before("E", "D")), hints: []string{
				"Something is computed from drives that nobody has made yet.",
				"One of the five is done outdoors, with the engine running. What can come before that?",
			}},
			{ID: "answer before fair", shows: before("E", "C"), hints: []string{
				"Whoever has seen the answer judges the conditions by whether they like it.",
				"Look at the headings of this notebook: which question comes before the answer?",
			}},
			{ID: "readings as evidence", shows: before("E", "B"), hints: []string{
				"An interval over what? Readings of one drive repeat each other.",
				"Before anything is set against the other side, each drive must have become one number.",
			}},
			{ID: "power first", shows: before("A", "E"), hints: []string{
				"The power is worked out from a change of temperature. Which step finds that change?",
				"Without its interval nobody knows how sure that power is.",
			}},
		}}
}

// ZeroInside asks what may be said where an interval goes from 6 K cooler to
// 1 K warmer: A nothing changed, B it is cooler by the middle, C these drives
// can't tell, D readings lie in it.
func ZeroInside() Exercise {
	return Exercise{ID: "11-1",
		right:  letters("C"),
		praise: "No difference shown is not the same as no difference.",
		begin: []string{
			"Write one of the letters A to D between the quotes. Which truths does that interval leave possible?",
			"Take both of its ends in turn for the truth. What would you say of the part in the one case, and in the other?",
		},
		mistakes: []Mistake{
			{ID: "no difference", shows: letters("A"), hints: []string{
				"Zero is inside. So is five kelvin cooler. What speaks for the one and against the other?",
				"To say that nothing changed, the whole interval must be small. Is it?",
			}},
			{ID: "middle taken", shows: letters("B"), hints: []string{
				"The middle is the best guess. Would you bet on its sign?",
				"One end says warmer. Has anything ruled that end out?",
			}},
			{ID: "readings", shows: letters("D"), hints: []string{
				"An interval of the change is not about single readings. What is it about?",
				"Each drive counts once here. The span is one for the truth, not for what a thermometer shows.",
			}},
		}}
}

// WidthOfTheAnswer asks how wide the interval of the primary difference is, in
// kelvin.
func WidthOfTheAnswer(differences []compare.Difference) Exercise {
	e := Exercise{ID: "11-3", lacking: "the question has no interval here. Drive with both configurations first."}
	i := slices.IndexFunc(differences, func(d compare.Difference) bool {
		return d.Primary && d.Change.Interval.Width() > 0
	})
	if i < 0 {
		return e
	}
	e.lacking = ""
	change, others := differences[i].Change, []float64(nil)
	for k, d := range differences {
		if w := d.Change.Interval.Width(); k != i && w > 0 {
			others = append(others, w)
		}
	}
	width := change.Interval.Width()
	e.right = near(0.11, width)
	e.praise = "The narrower, the more the drives have told; four times as many drives make it half as wide."
	e.begin = []string{
		"The sentence of the answer names both ends of the interval. How far is it from the one to the other?",
		"Take the smaller number in the brackets from the larger one; both are in kelvin.",
	}
	e.mistakes = []Mistake{quoted,
		{ID: "below zero", shows: near(0.11, -width), hints: []string{
			"A width has no sign. Which of the two ends is taken from which?",
			"Write the end that lies further up the scale first.",
		}},
		{ID: "one side only", shows: near(0.11, width/2), hints: []string{
			"So far is it from the middle to one end. And to the other?",
			"What stands behind ± is counted to both sides.",
		}},
		{ID: "the change", shows: near(0.11, change.Value, -change.Value, math.Abs(change.Interval.Low), math.Abs(change.Interval.High)), hints: []string{
			"That is where the interval lies, or one of its ends. How wide is it?",
			"Two numbers stand behind the 95 %. The question is what lies between them.",
		}},
		{ID: "another kind of driving", shows: near(0.11, others...), hints: []string{
			"That is the width of another interval. Which kind of driving is the question?",
			"The first sentence of the answer names the road that counts.",
		}},
	}
	return e
}
