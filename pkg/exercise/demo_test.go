package exercise_test

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/clock"
	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/exercise"
	"github.com/bonnetbook/bonnetbook/pkg/frame"
	"github.com/bonnetbook/bonnetbook/pkg/heat"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
	"github.com/bonnetbook/bonnetbook/pkg/roadload"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
)

// An asked exercise, with its right answers and the wrong ones by the mistake
// that each shows.
type asked struct {
	exercise.Exercise
	right []any
	wrong map[string][]any
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// everyExercise lists them as they stand in the demo.
var everyExercise = sync.OnceValue(func() []asked {
	c := must(campaign.Open("../../testdata/demo/campaign.toml"))
	d := must(c.Drive("open filters, first run"))
	opening := must(thermostat.Find(d))
	pieces := must(segment.SplitAfter(d, opening, segment.DefaultRules()))
	rises := must(compare.Rises([]compare.Run{{Drive: d, Segments: pieces}}, compare.DefaultRules()))
	village := rises[slices.IndexFunc(rises, func(r compare.DriveRise) bool { return r.ID == compare.StopAndGo })]
	road := rises[slices.IndexFunc(rises, func(r compare.DriveRise) bool { return r.ID == compare.RoadFast })]
	// An hour less five and a half seconds: the demo's second logger.
	matched := segment.Match(segment.Settled(pieces), segment.Settled(must(segment.Split(must(c.Drive("cold-air duct, second run"))))), segment.DefaultTolerances())
	settled := len(segment.Settled(pieces))
	balance := must(heat.Analyse(d, opening, pieces))
	kinds := must(frame.Of(must(c.Drives()), frame.DefaultOptions()).Minus("rise", "intake", "ambient").Group("configuration", "driving").Summarise(frame.Mean("rise")).Result())
	found := clock.Stated(-3594.5, 0, 1, time.Date(2026, 5, 3, 9, 0, 0, 0, time.UTC))
	// IAPWS-IF97, region 4: 99.61 °C at 1000 hPa, 96.71 °C at 900 hPa.
	report, here := 1000*quantity.Hectopascal, 900*quantity.Hectopascal
	// Dry air of 25 °C warmed to 57 °C at constant pressure: 1 − 298.15/330.15 is
	// 9.7 %, and the water in it changes nothing.
	outside := must(air.NewState(1013.25*quantity.Hectopascal, quantity.Celsius(25), 50*quantity.PercentHumidity))
	warmed := must(outside.Heated(quantity.Celsius(57)))
	dry := func(celsius float64) air.State { return must(air.NewState(101325, quantity.Celsius(celsius), 0)) }
	hot, cold := meanRise(kinds, "open filters", segment.Steady), meanRise(kinds, "cold-air duct", segment.Steady)
	// By hand: from 9.3 to 13.8 K cooler is 4.5 K wide.
	compared := []compare.Difference{
		{ID: compare.RoadSlow, Change: estimate.Estimate{Value: -15, Interval: estimate.Interval{Low: -16.4, High: -13.6}}},
		{ID: compare.RoadMiddle, Primary: true, Change: estimate.Estimate{Value: -11.6, Interval: estimate.Interval{Low: -13.8, High: -9.3}}},
	}
	return []asked{
		{exercise.StepsOfAComparison(), []any{"DCBEA", "d, b, c, e, a"}, map[string][]any{
			"letter missing": {"DCB"}, "nothing driven yet": {"CDBEA"}, "answer before fair": {"DBECA"}, "readings as evidence": {"DCEBA"}, "power first": {"DCBAE"}, exercise.Unexpected: {5},
		}},
		{exercise.ZeroInside(), []any{"C"}, map[string][]any{"no difference": {"A"}, "middle taken": {"B"}, "readings": {"D"}, exercise.Unexpected: {"E"}}},
		{exercise.WidthOfTheAnswer(compared), []any{4.5, 4.4}, map[string][]any{
			"below zero": {-4.5}, "one side only": {2.25}, "the change": {11.6, -11.6, 9.3, 13.8}, "another kind of driving": {2.8}, "number in quotes": {"4.5"}, exercise.Unexpected: {100},
		}},
		{exercise.ConfigurationInTheFile("cold-air duct", "open filters"), []any{`"cold-air duct"`, ` 'cold-air duct' `}, map[string][]any{
			"whole line": {`configuration = "cold-air duct"`, `configuration: "cold-air duct"`}, "other quotes": {"“cold-air duct”"}, "no quotes": {"cold-air duct"},
			"other configuration": {`"open filters"`, "open filters"}, "other name": {`"cold air duct"`, "duct"}, exercise.Unexpected: {3},
		}},
		{exercise.OddDrive(), []any{"B"}, map[string][]any{"left out": {"A"}, "averaged away": {"C"}, "driven until it fits": {"D"}, exercise.Unexpected: {"E"}}},
		{exercise.OrderOfFourDrives(), []any{"ABBA", "b-a-a-b"}, map[string][]any{
			"not four": {"AB"}, "not two each": {"AAAB", "ABCA"}, "one after the other": {"AABB", "BBAA"}, "by turns": {"ABAB", "BABA"}, exercise.Unexpected: {7},
		}},
		{exercise.VillageRise(rises), []any{village.Mean, village.Mean.Kelvins() + 1, int(village.Mean)}, map[string][]any{
			"temperature, not difference": {village.Temperature, village.Temperature.Celsius(), village.Temperature.Kelvin()},
			"another kind of driving":     {road.Mean.Kelvins()},
			"degrees Fahrenheit":          {village.Mean.FahrenheitDegrees()},
			"number in quotes":            {"30", "30 K"},
			exercise.Unexpected:           {1000, -5.5, true},
		}},
		// NIST SP 811, B.8: 1 K of difference is 1.8 °F of difference.
		{exercise.InFahrenheit(), []any{36, 36.0, 35.9}, map[string][]any{
			"zero point added": {68}, "wrong way": {11.1}, "not converted": {20}, "number in quotes": {"36"}, exercise.Unexpected: {100},
		}},
		{exercise.StepsOfADrive(), []any{"BEACD", "beacd", "B, E, A, C, D"}, map[string][]any{
			"letter missing": {"BEA"}, "drive before campaign": {"EBACD"}, "result before drive": {"BAECD"},
			"cut before opening": {"BECAD"}, "average before cut": {"BEADC"}, exercise.Unexpected: {12},
		}},
		{exercise.DatesLikeThese(), []any{recording.MonthDayYear}, map[string][]any{
			"day first": {recording.DayMonthYear}, "year first": {recording.YearMonthDay}, "words of one's own": {"month first"}, exercise.Unexpected: {7},
		}},
		{exercise.RowsRead(&recording.Account{Lines: 9, Read: 4, Header: 2, Blank: 2, Rejects: make([]recording.Reject, 1)}), []any{4, 4.0}, map[string][]any{
			"all lines": {9}, "rejected counted": {5}, "header counted": {6}, "what was not read": {1}, "number in quotes": {"4"}, exercise.Unexpected: {77},
		}},
		{exercise.OpenInput(), []any{"B", "b"}, map[string][]any{"zero": {"A"}, "row broken": {"C"}, "repeat": {"D"}, exercise.Unexpected: {"E"}}},
		{exercise.OnTheFirstClock(found), []any{"14:30:05", "14:30:06"}, map[string][]any{
			"wrong sign": {"16:29:54"}, "hours only": {"14:30:00", "14:30"}, "unchanged": {"15:30:00"}, "no time of day": {"half past two", 1430}, exercise.Unexpected: {"12:00:00"},
		}},
		{exercise.WhatIsLeft(), []any{"B"}, map[string][]any{"offset": {"A"}, "drift": {"C"}, "weather": {"D"}, exercise.Unexpected: {"X"}}},
		// 40 of a day's 1440 minutes are a 36th.
		{exercise.DriftOfADrive(), []any{0.1667, 6.0 / 36, 0.17}, map[string][]any{
			"whole day": {6}, "an hour": {0.25}, "a day for an hour": {4}, "multiplied": {240}, "number in quotes": {"0,17"}, exercise.Unexpected: {-3},
		}},
		{exercise.BoilingAtSeaLevel(report, here), []any{2.9, quantity.TemperatureDifference(99.61 - 96.71)}, map[string][]any{
			"temperature, not difference": {quantity.Celsius(99.6), 96.7}, "other way round": {-2.9}, "from a hundred": {100 - 96.71}, "number in quotes": {"2.9"}, exercise.Unexpected: {50},
		}},
		{exercise.AfterIce(), []any{20, 20.0}, map[string][]any{
			"error added": {20.8}, "not corrected": {20.4}, "error itself": {0.4, -0.4}, "number in quotes": {"20"}, exercise.Unexpected: {3},
		}},
		{exercise.WhatDropsOut(), []any{"A"}, map[string][]any{"moved probe": {"B"}, "radiation": {"C"}, "cold junction": {"D"}, exercise.Unexpected: {"Z"}}},
		{exercise.OpeningInMinutes(opening), []any{opening.Onset / 60}, map[string][]any{
			"seconds": {opening.Onset}, "hours": {opening.Onset / 3600}, "seconds behind the point": {math.Floor(opening.Onset/60) + math.Mod(opening.Onset, 60)/100}, "number in quotes": {"10"}, exercise.Unexpected: {-1},
		}},
		{exercise.ThinnerAir(outside, warmed), []any{9.7, 9.8}, map[string][]any{
			"fraction": {0.0975}, "other way round": {10.8, -9.75}, "degrees divided": {56.1}, "what is left": {90.3}, "number in quotes": {"9.7"}, exercise.Unexpected: {3},
		}},
		// √(333.15/303.15) is 1.0483, the density's ratio 1.0990 (by hand).
		{exercise.LeanerBy(must(engine.Metering{Kind: engine.ConstantDepression, BowlBefore: quantity.Celsius(30), BowlAfter: quantity.Celsius(30)}.Shift(dry(60), dry(30)))), []any{4.83, 5.0}, map[string][]any{
			"fraction": {0.0483}, "the ratio itself": {1.0483}, "the ratio in percent": {104.83}, "density": {9.9}, "richer": {-4.83}, "number in quotes": {"5"}, exercise.Unexpected: {40},
		}},
		{exercise.BeforeFullThrottle(), []any{"B"}, map[string][]any{"ignition": {"A"}, "listen": {"C"}, "filter": {"D"}, exercise.Unexpected: {"E"}}},
		{exercise.DayForIce(), []any{"B", "b"}, map[string][]any{"coldest": {"A"}, "hottest": {"C"}, "dry": {"D"}, exercise.Unexpected: {"E"}}},
		// (60/50)⁴ is 2.0736.
		{exercise.ThinnerHose(60*quantity.Millimetre, 50*quantity.Millimetre), []any{2.07, 2.1}, map[string][]any{
			"diameter": {1.2}, "speed": {1.44}, "upside down": {0.48}, "number in quotes": {"2"}, exercise.Unexpected: {17},
		}},
		// 1.2/0.6 · 300 K/100 kPa.
		{exercise.WorthOfAKilopascal(must(air.NewState(100e3, quantity.Celsius(20), 0.5)), quantity.Kelvin(300)), []any{6, 6.1}, map[string][]any{
			"exponents left out": {3}, "exponents upside down": {1.5}, "degrees Celsius": {0.54}, "kilopascals for a kelvin": {0.1667}, "number in quotes": {"6"}, exercise.Unexpected: {60},
		}},
		{exercise.MeasureFirst(), []any{"C"}, map[string][]any{"friction": {"A"}, "wall": {"B"}, "weather": {"D"}, exercise.Unexpected: {"E"}}},
		// Six pulls each way: 24 in all; R's power.t.test is in roadload's tests.
		{exercise.PullsInAll(roadload.Resolution{PairsFor: map[int]int{1: 41, 2: 11, 3: 6}}), []any{24, 24.0}, map[string][]any{
			"each way": {6}, "one side": {12}, "another change": {44, 164}, "in proportion": {55}, "number in quotes": {"24"}, exercise.Unexpected: {3},
		}},
		// By hand: 0.03·1.25·8 s.
		{exercise.SlowerPull(roadload.Resolution{Sensitivity: -1.25, Time: 8}), []any{0.3, 0.31}, map[string][]any{
			"share of the time": {0.24}, "shorter": {-0.3, -0.24}, "percent": {30, 24}, "relative": {0.0375}, "number in quotes": {"0.3"}, exercise.Unexpected: {5},
		}},
		{exercise.AirToCorrectWith(), []any{"A", "a"}, map[string][]any{"intake": {"B"}, "bay": {"C"}, "none": {"D"}, exercise.Unexpected: {"E"}}},
		{exercise.PartThrottle(), []any{"B"}, map[string][]any{"same share": {"A"}, "more": {"C"}, "bench": {"D"}, exercise.Unexpected: {"BA"}}},
		{exercise.PressureToUse(), []any{"B"}, map[string][]any{"forecast": {"A"}, "standard": {"C"}, "vapour": {"D"}, exercise.Unexpected: {"BA"}}},
		{exercise.TankAtOnset(), []any{"B"}, map[string][]any{"stamp": {"A"}, "slow probe": {"C"}, "cold air": {"D"}, exercise.Unexpected: {"?B?B"}}},
		{exercise.MostOfTheTime(pieces), []any{segment.Steady}, map[string][]any{
			"words of one's own": {"steady"}, "many but short": {segment.OpenRoad, segment.FullThrottle}, "slow feels long": {segment.StopAndGo, segment.Stopped},
			"another kind": {segment.Kind(77)}, exercise.Unexpected: {3.5},
		}},
		{exercise.WithoutPartner(pieces, matched), []any{settled - len(matched)}, map[string][]any{
			"partners counted": {len(matched)}, "settled counted": {settled}, "unsettled counted": {len(pieces) - settled},
			"below zero": {-1}, "number in quotes": {"1"}, exercise.Unexpected: {100},
		}},
		{exercise.WhyLeftOut(), []any{"B"}, map[string][]any{"slow probes": {"A"}, "nothing measured": {"C"}, "less power": {"D"}, exercise.Unexpected: {"E"}}},
		{exercise.SourcesInOrder(), []any{"BAC", "b, a, c"}, map[string][]any{
			"letter missing": {"BA"}, "radiator while closed": {"ABC", "ACB"}, "standing first": {"CBA"}, "radiator at the stop": {"BCA"}, exercise.Unexpected: {"BBB"},
		}},
		{exercise.FromTheRadiator(balance), []any{100 * balance.FromRadiator.Value / balance.RiseAfter.Value}, map[string][]any{
			"fraction": {balance.FromRadiator.Value / balance.RiseAfter.Value}, "kelvin": {balance.FromRadiator.Value},
			"block": {100 * balance.RiseBefore.Value / balance.RiseAfter.Value}, "other way round": {100 * balance.RiseAfter.Value / balance.FromRadiator.Value},
			"share of air": {100 * balance.MixingFraction.Value, 100 * balance.RadiatorShare.Value}, "number in quotes": {"74"}, exercise.Unexpected: {3},
		}},
		{exercise.ShortPull(), []any{"B"}, map[string][]any{"slow probe": {"A"}, "warmer air outside": {"C"}, "thermostat closes": {"D"}, exercise.Unexpected: {"E"}}},
		{exercise.HotIntake(), []any{"intake, configuration", "Intake Configuration"}, map[string][]any{
			"one word": {"intake"}, "swapped": {"configuration, intake"}, "another group": {"intake, drive"}, "another column": {"engine-bay, configuration"},
			"neither": {"bay, drive"}, exercise.Unexpected: {40},
		}},
		{exercise.StepsOfATable(), []any{"CBDA", "c b d a"}, map[string][]any{
			"letter missing": {"CBA"}, "no table": {"BCDA"}, "summary before groups": {"CBAD"}, "filter too late": {"CDBA"}, exercise.Unexpected: {"CCBB", 4},
		}},
		{exercise.GainInSteady(kinds), []any{hot - cold, 10.2}, map[string][]any{
			"below zero": {cold - hot}, "one of the two": {hot, cold}, "divided": {hot / cold, cold / hot},
			"another kind of driving": {meanRise(kinds, "open filters", segment.OpenRoad) - meanRise(kinds, "cold-air duct", segment.OpenRoad)},
			"number in quotes":        {"10.2"}, exercise.Unexpected: {1000},
		}},
		{exercise.NotReached(), []any{"C"}, map[string][]any{"broken": {"A"}, "never": {"B"}, "too little": {"D"}, exercise.Unexpected: {"Q"}}},
	}
})

// meanRise reads one line of the table of kinds, K.
func meanRise(kinds *frame.Frame, configuration string, kind segment.Kind) float64 {
	return must(kinds.Filter(frame.Is("configuration", configuration), frame.Is("driving", kind)).Floats("mean rise", "K"))[0]
}

var stubs = []any{nil, 0, 0.0, "", "?", " ? ", "___", quantity.TemperatureDifference(0), recording.DateOrder("")}

// Every exercise is judged three ways: right answers pass, a stub fails with a
// hint, and each listed wrong answer fails with the hint of its own mistake.
func TestEveryExercise(t *testing.T) {
	seen := map[string]bool{}
	for _, a := range everyExercise() {
		if seen[a.ID] {
			t.Errorf("two exercises are called %s", a.ID)
		}
		seen[a.ID] = true
		for _, answer := range a.right {
			if j := a.Judge(answer, 0); !j.Passed || j.Mistake != "" || j.Says == "" {
				t.Errorf("%s: %v is right and gets %+v", a.ID, answer, j)
			}
		}
		for _, answer := range stubs {
			if j := a.Judge(answer, 0); j.Passed || j.Mistake != exercise.NotAnswered || j.Says == "" {
				t.Errorf("%s: the stub %#v gets %+v", a.ID, answer, j)
			}
		}
		for mistake, answers := range a.wrong {
			for _, answer := range answers {
				if j := a.Judge(answer, 0); j.Passed || j.Mistake != mistake {
					t.Errorf("%s: %v shows %q and gets %+v", a.ID, answer, mistake, j)
				}
			}
		}
		for _, m := range a.Mistakes() {
			if len(a.wrong[m]) == 0 {
				t.Errorf("%s: no answer here shows %q", a.ID, m)
			}
		}
	}
}

// Hints are graded, each mistake has its own, and none gives the answer away.
func TestHints(t *testing.T) {
	for _, a := range everyExercise() {
		said := map[string]string{}
		all := map[string]any{exercise.NotAnswered: nil}
		for m, answers := range a.wrong {
			all[m] = answers[0]
		}
		for m, answer := range all {
			first := a.Judge(answer, 0)
			if first.Levels < 2 {
				t.Errorf("%s, %s: %d hint", a.ID, m, first.Levels)
			}
			if last := a.Judge(answer, 99); last.Level != last.Levels {
				t.Errorf("%s, %s: hint %d of %d after many tries", a.ID, m, last.Level, last.Levels)
			}
			for try := range first.Levels {
				j := a.Judge(answer, try)
				if j.Level != try+1 {
					t.Errorf("%s, %s: hint %d at try %d", a.ID, m, j.Level, try+1)
				}
				if other, double := said[j.Says]; double {
					t.Errorf("%s: %q and %q share the hint %q", a.ID, m, other, j.Says)
				}
				said[j.Says] = m
				for _, right := range a.right {
					if names(j.Says, right) {
						t.Errorf("%s, %s: the hint names the answer %v: %s", a.ID, m, right, j.Says)
					}
				}
			}
		}
	}
}

// names reports whether a text holds an answer as a word of its own. A single
// letter does not count: A is also an article.
func names(text string, answer any) bool {
	word := fmt.Sprint(answer)
	if len(word) < 2 || strings.HasPrefix(word, "mdy") {
		return regexp.MustCompile(`\b(letter|answer is) ` + regexp.QuoteMeta(word) + `\b`).MatchString(text)
	}
	return regexp.MustCompile(`(^|[^0-9.])` + regexp.QuoteMeta(word) + `($|[^0-9])`).MatchString(text)
}

// Where the data hold nothing to ask about, that is said, and nothing passes.
func TestNoData(t *testing.T) {
	for _, e := range []exercise.Exercise{
		{}, exercise.VillageRise(nil), exercise.RowsRead(&recording.Account{}), exercise.OpeningInMinutes(thermostat.Result{}), exercise.ThinnerAir(air.State{}, air.State{}), exercise.PullsInAll(roadload.Resolution{}), exercise.WidthOfTheAnswer(nil), exercise.ConfigurationInTheFile(""),
		exercise.SlowerPull(roadload.Resolution{}),
		exercise.MostOfTheTime(nil), exercise.WithoutPartner(nil, nil), exercise.FromTheRadiator(heat.Analysis{}), exercise.GainInSteady(nil), exercise.GainInSteady(frame.FromStructs([]struct{ A float64 }{{1}})),
		exercise.BoilingAtSeaLevel(0, -1), exercise.BoilingAtSeaLevel(1*quantity.Bar, 1*quantity.Bar),
	} {
		for _, answer := range []any{0, 0.0, 30, "B"} {
			if j := e.Judge(answer, 0); j.Passed || j.Mistake != exercise.NoData || j.Says == "" {
				t.Errorf("%s without data: %v gets %+v", e.ID, answer, j)
			}
		}
	}
}
