package exercise

import (
	"math"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/frame"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
)

// HotIntake asks for the two words missing in
//
//	f.Filter(frame.Above("___", "40 °C")).Group("___").Summarise(frame.Sum("duration").In("min"))
//
// which is to say for how many minutes the intake was above 40 °C in each
// configuration.
func HotIntake() Exercise {
	return Exercise{ID: "13-1",
		right:  words(is("intake"), is(frame.Configuration)),
		praise: "First which rows, then one group for each line of the answer, then what is told of it.",
		begin: []string{
			"Write both words between the quotes, a comma between them. The first says which column must be above 40 °C.",
			"The second word names the column whose different values make the lines of the answer. Both are names of columns.",
		},
		mistakes: []Mistake{
			{ID: "one word", shows: textThat(func(s string) bool { return len(wordsOf(s)) != 2 }), hints: []string{
				"Two places are empty, so two words are needed, with a comma between them.",
				"One word for the filter, one for the groups.",
			}},
			{ID: "swapped", shows: words(is(frame.Configuration), is("intake")), hints: []string{
				"Both words are right, and each stands in the other's place.",
				"Can a configuration be above 40 °C?",
			}},
			{ID: "another group", shows: words(is("intake"), anyWord), hints: []string{
				"The filter is right. One line for each of what?",
				"The question says in each, and then a word. That is a column, too.",
			}},
			{ID: "another column", shows: words(anyWord, is(frame.Configuration)), hints: []string{
				"The groups are right. Whose temperature is asked for?",
				"The air that the engine breathes has a column of its own, and so has the air around the engine.",
			}},
			{ID: "neither", shows: aText, hints: []string{
				"Neither word names the column that is needed. f.Head(3) at the top shows which there are.",
				"Look for the air that the engine breathes, then for what was mounted.",
			}},
		}}
}

// is matches one word; anyWord matches every one.
func is(want string) func(string) bool { return func(s string) bool { return s == want } }

func anyWord(string) bool { return true }

// words matches a text of two words, whatever stands around them.
func words(first, second func(string) bool) func(any) bool {
	return textThat(func(s string) bool {
		w := wordsOf(s)
		return len(w) == 2 && first(w[0]) && second(w[1])
	})
}

func wordsOf(s string) []string {
	return strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return strings.ContainsRune(" ,;\"'", r) })
}

// StepsOfATable asks for the order of the pieces of one line: A .Summarise of
// the rise, B .Filter for steady driving, C f, D .Group by configuration.
func StepsOfATable() Exercise {
	return Exercise{ID: "13-2",
		right:  letters("CBDA"),
		praise: "The table, which rows, which groups, what of each: nearly every question has these four.",
		begin: []string{
			"Write the four letters in order between the quotes. Which piece can stand at the beginning of a line, without a dot?",
			"Ask of each piece what it works on: all rows, some rows, or groups of rows.",
		},
		mistakes: []Mistake{
			{ID: "letter missing", shows: notOf(4), hints: []string{
				"There are four pieces, and each is needed once.",
				"Count the letters that you wrote.",
			}},
			{ID: "no table", shows: either(before("A", "C"), before("B", "C"), before("D", "C")), hints: []string{
				"A piece that begins with a dot needs something in front of it.",
				"What is filtered, grouped and summarised? That comes first.",
			}},
			{ID: "summary before groups", shows: before("A", "D"), hints: []string{
				"A mean of what? The groups must be made before that.",
				"Summarise makes one line of each group, so it needs them.",
			}},
			{ID: "filter too late", shows: either(before("A", "B"), before("D", "B")), hints: []string{
				"The other kinds of driving are still in the groups.",
				"Throw away what you don't want before you make groups of the rest.",
			}},
		}}
}

// GainInSteady asks by how many kelvin one configuration breathes cooler than
// the other in steady driving. kinds has the columns "configuration", "driving"
// and "mean rise", a row for each of their combinations.
func GainInSteady(kinds *frame.Frame) Exercise {
	e := Exercise{ID: "13-3",
		praise: "Like with like: the same kind of driving on both sides.",
		begin: []string{
			"Find the two lines with steady driving in the table of kinds. What is the difference of their mean rises?",
			"Take the smaller one from the larger one. Both are in kelvin.",
		},
	}
	rises, asked := risesByKind(kinds)
	if !asked {
		e.lacking = "the table does not hold steady driving of two configurations."
		return e
	}
	steady := rises[segment.Steady]
	high, low := max(steady[0], steady[1]), min(steady[0], steady[1])
	gain := high - low
	if gain < 1 {
		e.lacking = "the two hardly differ in steady driving."
		return e
	}
	e.right = near(0.3, gain)
	var others []float64
	for kind, r := range rises {
		if kind != segment.Steady && len(r) == 2 {
			others = append(others, math.Abs(r[0]-r[1]))
		}
	}
	e.mistakes = []Mistake{quoted,
		{ID: "below zero", shows: near(0.3, -gain), hints: []string{
			"The size is right. Cooler by how much is a positive number.",
			"Which of the two stands in front of the minus?",
		}},
		{ID: "one of the two", shows: near(0.06, high, low), hints: []string{
			"That is the rise of one configuration. By how much do the two differ?",
			"Find the other line with the same kind of driving.",
		}},
		{ID: "another kind of driving", shows: near(0.06, others...), hints: []string{
			"That is a difference, but of another kind of driving.",
			"Read the second column of the table: both lines must say the same.",
		}},
		{ID: "divided", shows: near(0.05, high/low, low/high), hints: []string{
			"You divided the one by the other. The question is a number of kelvin.",
			"By how many kelvin asks for a difference: take one from the other.",
		}},
	}
	return e
}

// risesByKind reads the table of kinds, and reports whether steady driving has
// two rises, one of each configuration.
func risesByKind(kinds *frame.Frame) (rises map[segment.Kind][]float64, asked bool) {
	if kinds == nil {
		return nil, false
	}
	rises = map[segment.Kind][]float64{}
	for _, k := range segment.Kinds() {
		// A kind that was not driven has no row, which Filter calls an error.
		if r, err := kinds.Filter(frame.Is(frame.Driving, k)).Floats("mean rise", "K"); err == nil {
			rises[k] = r
		}
	}
	configurations, err := kinds.Texts(frame.Configuration)
	slices.Sort(configurations)
	steady := rises[segment.Steady]
	two := err == nil && len(slices.Compact(configurations)) == 2 && len(steady) == 2
	return rises, two && !math.IsNaN(steady[0]+steady[1])
}
