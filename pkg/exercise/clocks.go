package exercise

import (
	"math"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
)

// OnTheFirstClock asks what the first clock showed when the second wrote
// 15:30:00 on the day of the alignment's origin.
func OnTheFirstClock(found clock.Result) Exercise {
	o := found.Origin
	written := time.Date(o.Year(), o.Month(), o.Day(), 15, 30, 0, 0, o.Location())
	moved := func(seconds float64) time.Time {
		return written.Add(time.Duration(seconds * float64(time.Second)))
	}
	hours := math.Round(found.Offset/3600) * 3600
	return Exercise{ID: "03-2",
		right:  atTime(moved(found.Offset), 3),
		praise: "The offset is added to what the second clock wrote, with its sign.",
		begin: []string{
			"Write the time between the quotes, as hours:minutes:seconds. The result above says what is added to the second logger's times.",
			"Was the second clock ahead of the first or behind it? Then the first showed less or more.",
		},
		mistakes: []Mistake{
			{ID: "wrong sign", shows: atTime(moved(-found.Offset), 2), hints: []string{
				"You went the wrong way. Which logger's start was the later one?",
				"Look at the sign of the offset, and add it as it is.",
			}},
			{ID: "unchanged", shows: atTime(written, 2), hints: []string{
				"That is what the second clock wrote. The question is what the first one showed.",
				"The two loggers were started together; compare the two times at which they say they began.",
			}},
			{ID: "hours only", shows: atTime(moved(hours), 2), hints: []string{
				"Somebody forgot summer time, and that is not all. What else was wrong with this clock?",
				"The offset is no whole number of hours. What is left over, and in which direction?",
			}},
			{ID: "no time of day", shows: func(answer any) bool { return !atTime(written, 24*3600)(answer) }, hints: []string{
				"I can't read that as a time of day.",
				"Write two figures each for hours, minutes and seconds, with colons between and quotes around.",
			}},
		}}
}

// WhatIsLeft asks what the gap between two aligned curves comes from: A the
// offset is still wrong, B the probes disagree, C one clock runs slow, D the
// weather changed.
func WhatIsLeft() Exercise {
	return Exercise{ID: "03-1",
		right:  letters("B"),
		praise: "Clocks move curves sideways, probes move them up and down.",
		begin: []string{
			"Write one of the letters A to D between the quotes. In which direction would a curve have to move to lie on the other?",
			"A wrong clock moves a curve sideways. Is the gap one that a move sideways would close?",
		},
		mistakes: []Mistake{
			{ID: "offset", shows: letters("A"), hints: []string{
				"Then the bends would not sit on each other. Do they?",
				"Move one curve sideways in your mind: the gap closes where the curves climb. What happens where they are flat?",
			}},
			{ID: "drift", shows: letters("C"), hints: []string{
				"A clock that runs slow is wrong by more and more. Does the gap grow?",
				"Compare how the bends fit at the beginning with how they fit at the end.",
			}},
			{ID: "weather", shows: letters("D"), hints: []string{
				"Both probes felt the same air in the same second.",
				"What is common to both curves can't make a difference between them.",
			}},
		}}
}

// The clock of DriftOfADrive.
const (
	gainOfADay = 6.0  // s
	driveTime  = 2400 // s
	day        = 86400
)

// DriftOfADrive asks how many seconds a clock that gains 6 s a day gains
// during a drive of 40 minutes.
func DriftOfADrive() Exercise {
	gain := gainOfADay * driveTime / day
	return Exercise{ID: "03-3",
		right:  near(0.02, gain),
		praise: "Less than a logger's step: for one drive an offset is enough, for a week it is not.",
		begin: []string{
			"First find what part of a day the drive is.",
			"A day has 1440 minutes. Which part of them did the drive take, and the same part of the seconds?",
		},
		mistakes: []Mistake{quoted,
			{ID: "whole day", shows: near(0.1, gainOfADay), hints: []string{
				"That is what the clock gains in a day. How long is the drive?",
				"A drive takes a small part of a day, and the clock gains the same small part.",
			}},
			{ID: "an hour", shows: near(0.005, gainOfADay*3600/day), hints: []string{
				"That is what it gains in an hour. The drive is shorter.",
				"What part of an hour is the drive? Take that part of your number.",
			}},
			{ID: "a day for an hour", shows: near(0.05, gainOfADay*driveTime/3600), hints: []string{
				"That would be right if it gained so much in an hour.",
				"You divided by the minutes of an hour. How many has a day?",
			}},
			{ID: "multiplied", shows: near(1, gainOfADay*driveTime/60), hints: []string{
				"The drive is shorter than a day, so the gain must be smaller than that of a day. Yours is larger.",
				"Minutes times seconds of a day is too much; by what must it be divided?",
			}},
		}}
}
