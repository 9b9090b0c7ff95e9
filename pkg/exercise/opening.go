package exercise

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
)

// OpeningInMinutes asks how many minutes into the drive the thermostat opened.
func OpeningInMinutes(opening thermostat.Result) Exercise {
	whole := math.Floor(opening.Onset / 60)
	e := Exercise{ID: "05-3",
		right:  near(0.06, opening.Onset/60),
		praise: "Inside, all times are seconds since the drive began.",
		begin: []string{
			"The result above names the second. How many seconds has a minute?",
			"Divide the seconds by those of a minute. One decimal is enough, with a point.",
		},
		mistakes: []Mistake{quoted,
			{ID: "seconds", shows: near(2, opening.Onset), hints: []string{
				"Those are seconds. The question is minutes.",
				"A minute has 60 of them; divide.",
			}},
			{ID: "hours", shows: near(0.01, opening.Onset/3600), hints: []string{
				"You divided once too often: that is in hours.",
				"Seconds by 60 give one unit, by 60 again the next. Which is asked?",
			}},
			{ID: "seconds behind the point", shows: near(0.006, whole+(opening.Onset-60*whole)/100), hints: []string{
				"Behind the point stand tenths of a minute, not seconds.",
				"Half a minute is 30 seconds, and is written as 0.5. How are your seconds written?",
			}},
		}}
	if opening.Outcome != thermostat.Opened {
		e.lacking = "the thermostat did not open in this drive. Open another one."
	}
	return e
}

// TankAtOnset asks why the top tank is far below the stamp when the thermostat
// begins to open: A the stamp is wrong, B the tank lies behind the closed
// valve, C the probe is slow, D the outside air is cold.
func TankAtOnset() Exercise {
	return Exercise{ID: "05-1",
		right:  letters("B"),
		praise: "The stamp speaks of the engine's side. The tank gets hot coolant only afterwards.",
		begin: []string{
			"Write one of the letters A to D between the quotes. Where does the hot coolant stay as long as the valve is closed?",
			"Follow the coolant: engine, valve, hose, tank. Which of these has it reached?",
		},
		mistakes: []Mistake{
			{ID: "stamp", shows: letters("A"), hints: []string{
				"It would have to be wrong by some 40 K, in every drive. Is there something simpler?",
				"On which side of the valve sits the wax that the stamp speaks of, and on which the probe?",
			}},
			{ID: "slow probe", shows: letters("C"), hints: []string{
				"A probe lags by seconds, and the coolant warmed up for ten minutes.",
				"Look at the red line before the bend: does it hurry after something that is much hotter?",
			}},
			{ID: "cold air", shows: letters("D"), hints: []string{
				"The drives of the table had other weather. Did the tank change as much?",
				"Cold air cools what flows through the radiator. What flows there while the valve is closed?",
			}},
		}}
}

// NotReached asks what the answer "not reached" allows to say: A the
// thermostat is broken, B it never opens, C up to the end of the record it had
// not opened, D it opened too little to see.
func NotReached() Exercise {
	return Exercise{ID: "05-2",
		right:  letters("C"),
		praise: "No more than the record holds.",
		begin: []string{
			"Write one of the letters A to D between the quotes. What did we do to the record in that cell?",
			"Which of the sentences would still be true if the car had been driven on for an hour?",
		},
		mistakes: []Mistake{
			{ID: "broken", shows: letters("A"), hints: []string{
				"It is the same thermostat as in the first cells, and there it opened.",
				"What is missing from the record: heat, or time?",
			}},
			{ID: "never", shows: letters("B"), hints: []string{
				"Never is a long time. How long was the record?",
				"The engine was still warming up when the record ended.",
			}},
			{ID: "too little", shows: letters("D"), hints: []string{
				"Then there would be a small bend. The record ends two minutes before the opening.",
				"A valve that has not begun to open leaves no trace to look for.",
			}},
		}}
}
