package exercise

import (
	"github.com/bonnetbook/bonnetbook/pkg/recording"
)

// DatesLikeThese asks for the order of 07/09/2026, 07/14/2026, 07/19/2026.
func DatesLikeThese() Exercise {
	return Exercise{ID: "02-1",
		right:  textThat(is(string(recording.MonthDayYear))),
		praise: "One date that fits one way only settles it for the whole file.",
		begin: []string{
			"Write recording. and press the Tab key: the names with Month and Day are the choices.",
			"Take each date in turn: which readings of it are dates that exist?",
		},
		mistakes: []Mistake{
			{ID: "day first", shows: textThat(is(string(recording.DayMonthYear))), hints: []string{
				"That fits the first date. Does it fit all three?",
				"Read the second date that way. Which month would it be in?",
			}},
			{ID: "year first", shows: textThat(is(string(recording.YearMonthDay))), hints: []string{
				"The year has four figures. Where does it stand?",
				"Look at the right end of each date, then at what is left of it.",
			}},
			{ID: "words of one's own", shows: aText, hints: []string{
				"The order is one of the names that the library knows, not a text of your own.",
				"Write it without quotes, with recording. in front, as the cell above named answer does.",
			}},
		}}
}

// RowsRead asks how many lines of a file became readings, from its account.
func RowsRead(a *recording.Account) Exercise {
	e := Exercise{ID: "02-3",
		right:  near(0.1, float64(a.Read)),
		praise: "Every line is in the sum, and none was dropped without a word.",
		begin: []string{
			"The account says what became of every line. Which of its numbers are readings?",
			"Take from all lines whatever was no reading.",
		},
		mistakes: []Mistake{quoted,
			{ID: "all lines", shows: near(0.1, float64(a.Lines)), hints: []string{
				"That is every line of the file. Is each of them a reading?",
				"The first line holds names, and something is wrong with the last.",
			}},
			{ID: "rejected counted", shows: near(0.1, float64(a.Read+len(a.Rejects))), hints: []string{
				"The line with the names is taken off. What about the one that was cut off?",
				"A rejected line is listed, and its values are not used.",
			}},
			{ID: "header counted", shows: near(0.1, float64(a.Read+a.Header)), hints: []string{
				"The line that was cut off is taken off. Is the first line a reading?",
				"Names of columns are no temperatures.",
			}},
			{ID: "what was not read", shows: near(0.1, float64(a.Lines-a.Read), float64(len(a.Rejects))), hints: []string{
				"That counts lines that were not used. The question is the others.",
				"How many are left of all lines when those are taken away?",
			}},
		}}
	if a.Read == 0 {
		e.lacking = "no line of this file was read."
	}
	return e
}

// OpenInput asks what a logger means by ---- in a column: A it was 0 °C, B no
// probe, no value, C the whole row is broken, D as in the row above.
func OpenInput() Exercise {
	return Exercise{ID: "02-2",
		right:  letters("B"),
		praise: "A missing value stays missing. Nothing is put in its place.",
		begin: []string{
			"Write one of the letters A to D between the quotes. What does an input measure when nothing is plugged in?",
			"Look at the account of the first file: what does it say about this column, and are the rows still there?",
		},
		mistakes: []Mistake{
			{ID: "zero", shows: letters("A"), hints: []string{
				"0 °C is a temperature, and a cold one. Did anybody measure it?",
				"What would the mean of that column become if the logger's marks were taken for ice?",
			}},
			{ID: "row broken", shows: letters("C"), hints: []string{
				"Then the other three probes would lose their readings, too.",
				"Look at the account: was any row of that file rejected?",
			}},
			{ID: "repeat", shows: letters("D"), hints: []string{
				"The row above has the same mark, and so has the first one.",
				"A reading that is repeated looks as if somebody had measured it.",
			}},
		}}
}
