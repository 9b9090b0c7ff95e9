package exercise

import (
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/segment"
)

// MostOfTheTime asks for the kind of driving that took most of a drive's time.
func MostOfTheTime(pieces []segment.Segment) Exercise {
	seconds := map[segment.Kind]float64{}
	most := segment.Unknown
	for _, p := range pieces {
		seconds[p.Kind] += p.Interval.To - p.Interval.From
		if p.Kind != segment.Unknown && seconds[p.Kind] > seconds[most] {
			most = p.Kind
		}
	}
	is := func(kinds ...segment.Kind) func(any) bool {
		return func(answer any) bool {
			k, ok := answer.(segment.Kind)
			return ok && slices.Contains(kinds, k)
		}
	}
	e := Exercise{ID: "06-1",
		right:  is(most),
		praise: "Long stretches count for more than many short ones: what matters is time, not number.",
		begin: []string{
			"Put one of the names behind segment. in place of Unknown. The list above says when each stretch begins and ends.",
			"Look at the picture of the drive again: which colour covers most of its width?",
		},
		mistakes: []Mistake{
			{ID: "words of one's own", shows: aText, hints: []string{
				"The kinds are names that the library knows, so no quotes are needed.",
				"Write segment. and press the Tab key; the names are listed there.",
			}},
			{ID: "many but short", shows: is(segment.OpenRoad, segment.FullThrottle), hints: []string{
				"There are many of these in the list. How long is each of them?",
				"A stretch of six seconds is one line in the list, and so is one of six minutes.",
			}},
			{ID: "slow feels long", shows: is(segment.StopAndGo, segment.Stopped), hints: []string{
				"In the village time drags. Did it take more minutes than the road?",
				"Take the times at which this kind begins and ends, and do the same for the one that fills the road between the villages.",
			}},
			{ID: "another kind", shows: func(answer any) bool { _, ok := answer.(segment.Kind); return ok }, hints: []string{
				"That is a kind of driving. Is it the one with the most time?",
				"Add up the seconds of this kind in the list above, then those of another.",
			}},
		}}
	if most == segment.Unknown {
		e.lacking = "this drive was not cut into kinds. Open another one."
	}
	return e
}

// WithoutPartner asks how many settled stretches of a drive found no partner in
// the other one.
func WithoutPartner(pieces []segment.Segment, pairs []segment.Pair) Exercise {
	settled, paired := len(segment.Settled(pieces)), len(pairs)
	var unsettled []float64 // but those that another mistake gives here, too
	for _, n := range []int{len(pieces) - paired, len(pieces) - settled} {
		if n != paired && n != settled {
			unsettled = append(unsettled, float64(n))
		}
	}
	e := Exercise{ID: "06-3",
		right:  near(0.1, float64(settled-paired)),
		praise: "Better left out than forced upon a stretch that is not alike.",
		begin: []string{
			"Each line of the table of pairs is a stretch that found its partner. How many settled stretches are there in all?",
			"segment.Settled(pieces) is the list of the settled ones, and len( ) says how many a list has.",
		},
		mistakes: []Mistake{quoted,
			{ID: "partners counted", shows: near(0.1, float64(paired)), hints: []string{
				"So many did find a partner. The question is the others.",
				"Of how many was that? Take it from the number of settled stretches.",
			}},
			{ID: "settled counted", shows: near(0.1, float64(settled)), hints: []string{
				"So many looked for a partner. How many of them found none?",
				"The table of pairs has a line for each that did; take those off.",
			}},
			{ID: "unsettled counted", shows: near(0.1, unsettled...), hints: []string{
				"Stretches of the warm-up and of long stops are among yours. Did they ask for a partner at all?",
				"Begin with the stretches that are marked as settled, not with all of them.",
			}},
			{ID: "below zero", shows: func(answer any) bool { n, ok := numberOf(answer); return ok && n < 0 }, hints: []string{
				"A number of stretches is never below zero. Which of the two is taken from which?",
				"The larger one stands in front of the minus: those that looked, less those that found.",
			}},
		}}
	switch {
	case paired == 0:
		e.lacking = "no stretch found a partner, so there is nothing to take off."
	case settled == paired:
		e.lacking = "each settled stretch of these two drives has a partner. Take another drive for other."
	}
	return e
}

// WhyLeftOut asks why the warm-up is left out: A the probes must warm up first,
// B the intake is still changing, so it tells of the time and not of the part,
// C nothing is measured before the thermostat opens, D a cold engine has less
// power.
func WhyLeftOut() Exercise {
	return Exercise{ID: "06-2",
		right:  letters("B"),
		praise: "Two drives are compared where neither of them is still on its way.",
		begin: []string{
			"Write one of the letters A to D between the quotes. What does the intake do while the engine warms up?",
			"Imagine one drive that began cold and one that began warm, with the same parts. Where would they differ?",
		},
		mistakes: []Mistake{
			{ID: "slow probes", shows: letters("A"), hints: []string{
				"A probe follows within seconds. How long does the warm-up last?",
				"What is slow there: a bead of metal as small as a pinhead, or an engine?",
			}},
			{ID: "nothing measured", shows: letters("C"), hints: []string{
				"The first minutes of the picture have lines. What was measured there?",
				"There are readings from the first second on. Do they say what we want to know?",
			}},
			{ID: "less power", shows: letters("D"), hints: []string{
				"That may be true, but power is not what is compared here.",
				"We compare how far above the outside air the engine breathes. What does that do in the first minutes?",
			}},
		}}
}
