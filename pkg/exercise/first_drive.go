package exercise

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// readByEye is how closely a person reads a picture of temperatures, in K.
const readByEye = 2

// VillageRise asks by how many kelvin the air at the intake was warmer than
// outside in stop-and-go traffic. The rises are those of one drive.
func VillageRise(rises []compare.DriveRise) Exercise {
	e := Exercise{ID: "01-2",
		praise: "That is the rise over ambient: what the engine breathes, less what the weather gives.",
		begin: []string{
			"Look at the last picture. Which of its marks belongs to stop-and-go, and how high does it sit?",
			"The scale on the left is in kelvin above the outside air. Put that number in place of the 0.",
		},
		lacking: "this drive holds no stop-and-go that counts. Open another one.",
	}
	var village compare.DriveRise
	var others []float64
	for _, r := range rises {
		switch {
		case math.IsNaN(float64(r.Mean)):
		case r.Identity() == compare.StopAndGo:
			village, e.lacking = r, ""
		default:
			others = append(others, r.Mean.Kelvins())
		}
	}
	e.right = near(readByEye, village.Mean.Kelvins())
	e.mistakes = []Mistake{quoted,
		{ID: "temperature, not difference", shows: either(aTemperature, near(readByEye, village.Temperature.Celsius(), village.Temperature.Kelvin())), hints: []string{
			"That is how warm the air was. The question is how much warmer than outside.",
			"Two curves belong to the answer: intake and outside air. Take one from the other, or read the picture that has done so.",
		}},
		{ID: "another kind of driving", shows: near(readByEye, others...), hints: []string{
			"That is a rise, but of another kind of driving.",
			"Read the names below the marks. The village was driven slowly, with stops.",
		}},
		{ID: "degrees Fahrenheit", shows: near(2*readByEye, village.Mean.FahrenheitDegrees()), hints: []string{
			"That is the scale on the right. Which unit does the question ask for?",
			"The scale on the left is in kelvin; one kelvin of difference is as much as one °C.",
		}},
	}
	return e
}

// inFahrenheit is the difference that InFahrenheit asks about.
const inFahrenheit = quantity.TemperatureDifference(20)

// InFahrenheit asks how many °F a difference of 20 K is.
func InFahrenheit() Exercise {
	k := inFahrenheit.Kelvins()
	return Exercise{ID: "01-3",
		right:  near(0.5, inFahrenheit.FahrenheitDegrees()),
		praise: "A difference is stretched by the scale and not moved: no zero point takes part.",
		begin: []string{
			"The picture of the rise has two scales. Find 20 on the left one and look across.",
			"A degree Fahrenheit is the smaller one, so there are more of them in the same difference.",
		},
		mistakes: []Mistake{quoted,
			{ID: "zero point added", shows: near(0.5, quantity.Celsius(k).Fahrenheit()), hints: []string{
				"That converts a temperature. This is a difference of two.",
				"The 32 is where water freezes on that scale. It stands in both temperatures, so what becomes of it in their difference?",
			}},
			{ID: "wrong way", shows: near(0.5, quantity.FahrenheitDifference(k).Kelvins()), hints: []string{
				"You went from °F to kelvin. The friend wants the other way.",
				"Which of the two degrees is the smaller one? Then there must be more of them.",
			}},
			{ID: "not converted", shows: near(0.1, k), hints: []string{
				"That would be right in °C. The friend's degrees are smaller.",
				"From freezing to boiling there are a hundred °C, and 180 of the friend's degrees.",
			}},
		}}
}

// StepsOfADrive asks for the order in which a drive is looked at: A find the
// opening, B open the campaign, C cut the drive into kinds, D average the rise
// of each kind, E open the drive.
func StepsOfADrive() Exercise {
	return Exercise{ID: "01-1",
		right:  letters("BEACD"),
		praise: "Each step needs what the one before it found.",
		begin: []string{
			"Write the five letters in order between the quotes. What must be there before anything else can be opened?",
			"Ask of each line: what does it need, and which line makes that?",
		},
		mistakes: []Mistake{
			{ID: "letter missing", shows: notOf(5), hints: []string{
				"There are five lines, and each is needed once.",
				"Count the letters that you wrote. Capital or small does not matter.",
			}},
			{ID: "drive before campaign", shows: before("E", "B"), hints: []string{
				"Who knows which files belong to the drive?",
				"Files and columns of a drive stand in the campaign file, so that comes earlier.",
			}},
			{ID: "result before drive", shows: either(before("A", "E"), before("C", "E"), before("D", "E")), hints: []string{
				"Something is looked for in a drive that nobody has opened yet.",
				"Without its readings a drive tells nothing: where must its opening go?",
			}},
			{ID: "cut before opening", shows: before("C", "A"), hints: []string{
				"The pieces are to count only once everything is warm. Who knows since when?",
				"Look at what stands between the brackets where this notebook cuts the drive.",
			}},
			{ID: "average before cut", shows: before("D", "C"), hints: []string{
				"An average of what? The kinds of driving must be told apart for that.",
				"Which line makes the pieces over which the other one averages?",
			}},
		}}
}

// before matches a text in which one letter stands before another.
func before(first, second string) func(any) bool {
	return textThat(func(s string) bool {
		a, b := -1, -1
		for i, r := range onlyLetters(s) {
			switch string(r) {
			case first:
				a = i
			case second:
				b = i
			}
		}
		return a >= 0 && b >= 0 && a < b
	})
}
