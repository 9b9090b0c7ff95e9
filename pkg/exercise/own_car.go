package exercise

import (
	"slices"
	"strings"
)

// ConfigurationInTheFile asks for what stands behind "configuration =" in a
// campaign file for a drive with the named configuration: the name in straight
// quotes. others are the campaign's other configurations.
func ConfigurationInTheFile(name string, others ...string) Exercise {
	written := func(forms ...string) func(any) bool {
		return textThat(func(s string) bool { return slices.Contains(forms, strings.TrimSpace(s)) })
	}
	holding := func(characters string) func(any) bool {
		return textThat(func(s string) bool { return strings.ContainsAny(s, characters) })
	}
	const bent = "“”„‘’"
	inQuotes := func(s string) bool { return slices.Contains(others, strings.Trim(s, ` "'`+bent)) }
	e := Exercise{ID: "12-1",
		right:  written(`"`+name+`"`, `'`+name+`'`),
		praise: "A text in a campaign file stands between straight quotes, as it does in Go.",
		begin: []string{
			"Put what belongs behind the equals sign between the two backquotes. How are the names of drives written in that file?",
			"Open the campaign file of the demo in a text editor and look at the lines that begin with configuration.",
		},
		mistakes: []Mistake{
			{ID: "whole line", shows: holding("=:"), hints: []string{
				"The beginning of the line is there already. What comes behind the equals sign?",
				"Take away all up to the equals sign, and the sign itself.",
			}},
			{ID: "other quotes", shows: holding(bent), hints: []string{
				"A word processor has bent your quotes. Do both look alike, and straight?",
				"Type them anew in a plain editor: the key beside Enter or above the 2, on most keyboards.",
			}},
			{ID: "no quotes", shows: written(name), hints: []string{
				"The name is right. How does the program know where a name with blanks ends?",
				"Without something around it, it is read as a word of the file's own language.",
			}},
			{ID: "other configuration", shows: textThat(inQuotes), hints: []string{
				"That is a configuration of this campaign. Was this drive made with it?",
				"Read the question again: which part was mounted?",
			}},
			{ID: "other name", shows: aText, hints: []string{
				"A name counts letter by letter: capitals, blanks and hyphens too. How do the other drives spell it?",
				"Copy it from the cell that names the two configurations; two spellings would be two configurations.",
			}},
		}}
	if name == "" {
		e.lacking = "the campaign names no second configuration."
	}
	return e
}

// OddDrive asks what to do first with a drive that is unlike all others: A
// leave it out, B look for a cause, C average over it, D drive until it fits.
func OddDrive() Exercise {
	return Exercise{ID: "12-2",
		right:  letters("B"),
		praise: "Leave a drive out for a reason that you could tell somebody, never for its number.",
		begin: []string{
			"Write one of the letters A to D between the quotes. What could have made that drive different?",
			"Think of a probe that fell off, a clock, a wet road. Where would you see that?",
		},
		mistakes: []Mistake{
			{ID: "left out", shows: letters("A"), hints: []string{
				"Perhaps it is the only honest one. What do you know of it, but its number?",
				"If drives may go because of their result, what result can't be had?",
			}},
			{ID: "averaged away", shows: letters("C"), hints: []string{
				"A mean with a loose probe in it is a mean of nothing. How would you know?",
				"Averages make chance smaller, not mistakes.",
			}},
			{ID: "driven until it fits", shows: letters("D"), hints: []string{
				"Whoever stops when the result pleases always gets one that pleases.",
				"More drives are welcome, but all of them count. And this one: what was the matter?",
			}},
		}}
}

// OrderOfFourDrives asks for the order of two drives with each of two
// configurations, A and B, that a slow drift can't favour.
func OrderOfFourDrives() Exercise {
	return Exercise{ID: "12-3",
		right:  letters("ABBA", "BAAB"),
		praise: "Days that get warmer, step by step, fall on both parts alike.",
		begin: []string{
			"Write four letters between the quotes: A for a drive with the old part, B for one with the new.",
			"Say each day is a degree warmer than the one before: 1, 2, 3, 4. Both parts are to get the same sum.",
		},
		mistakes: []Mistake{
			{ID: "not four", shows: notOf(4), hints: []string{
				"Four drives are four letters.",
				"Count them: one letter for each drive, nothing else.",
			}},
			{ID: "not two each", shows: textThat(func(s string) bool {
				return strings.Count(onlyLetters(s), "A") != 2 || strings.Count(onlyLetters(s), "B") != 2
			}), hints: []string{
				"How often is each part driven there? Two and two is the question.",
				"Count each of the two letters.",
			}},
			{ID: "one after the other", shows: letters("AABB", "BBAA"), hints: []string{
				"First all of the one, then all of the other. Between them lie days. What else changed in these days?",
				"Add up the days 1 to 4 for each part. Which one has the later, warmer days?",
			}},
			{ID: "by turns", shows: letters("ABAB", "BABA"), hints: []string{
				"By turns is better than in two blocks. Is it even? Add up the days 1 to 4 for each part.",
				"One part is always a day later than the other. How could the second pair make up for that?",
			}},
		}}
}
