package verdict

import (
	"errors"
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	"github.com/bonnetbook/bonnetbook/pkg/clock"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
	"github.com/bonnetbook/bonnetbook/pkg/warm"
)

// Look is what happened in one drive, before anything is compared.
type Look struct {
	Run
	// NotCut is why the drive has no stretches; nil where it has.
	NotCut error
	// Checks say what to look at before the drive is trusted: their kinds are
	// those below, and those of packages estimate and account.
	Checks []estimate.Warning
}

// Kinds of checks of a drive.
const (
	SwappedProbes estimate.Kind = "swapped probes"
	AlikeProbes   estimate.Kind = "doubled channel"
	WarmAmbient   estimate.Kind = "ambient heated"
	OpenCircuit   estimate.Kind = "open circuit"
	NeverOpened   estimate.Kind = "never opened"
	NeverWarm     estimate.Kind = "never warm"
	WrongDay      estimate.Kind = "wrong day"
	DoubtfulClock estimate.Kind = "doubtful clock"
	HeatSoak      estimate.Kind = "heat soak"
	HotFuel       estimate.Kind = "hot fuel"
)

// LookAt finds the opening, cuts the drive and checks it. What can't be done is
// said in the result.
func LookAt(d *drive.Drive, rules segment.Rules) Look {
	opening, err := openingOf(d)
	if err != nil {
		opening = untold(d, err)
	}
	return lookAfter(Run{Drive: d, Opening: opening}, rules)
}

// lookAfter is [LookAt] for a drive whose opening is known.
func lookAfter(r Run, rules segment.Rules) Look {
	l := Look{Run: r}
	if l.Segments == nil {
		l.Segments, l.NotCut = segment.SplitAfter(r.Drive, r.Opening, rules)
	}
	checks := l.Run.Checks()
	l.checkChannels(checks)
	l.checkClocks(checks)
	l.checkHeatSoak()
	l.checkFuel()
	if l.Opening.Outcome == thermostat.NotReached {
		l.add(NeverOpened, "", "the thermostat never opened: the engine did not get warm, and nothing of this drive may be compared with warm ones")
	}
	if s := l.Warm(); s.Basis != warm.ByThermostat && s.Outcome == warm.Never {
		l.add(NeverWarm, "", "the engine never got warm: "+s.Reason+"; nothing of this drive may be compared with warm ones")
	}
	l.Checks = append(l.Checks, l.Warm().Warnings...)
	if l.NotCut != nil && !errors.Is(l.NotCut, quantity.ErrOutOfRange) {
		l.add(estimate.LostReadings, "", "no kinds of driving are told: "+l.NotCut.Error())
	} else if l.NotCut != nil {
		l.add(estimate.OutsideRange, "", l.NotCut.Error())
	}
	return l
}

func (l *Look) add(kind estimate.Kind, subject, text string) {
	l.Checks = append(l.Checks, estimate.Warning{Kind: kind, Subject: subject, Text: text})
}

// mostMissing is the share of readings that may be missing without a word:
// 2 %.
const mostMissing = 0.02

func (l *Look) checkChannels(checks []drive.Check) {
	kinds := map[drive.Suspicion]estimate.Kind{drive.IntakeBelowAmbient: SwappedProbes, drive.ChannelsSwapped: SwappedProbes, drive.AmbientHeated: WarmAmbient, drive.ChannelsAlike: AlikeProbes}
	for _, c := range checks {
		if kind, ok := kinds[c.Suspicion]; ok {
			l.add(kind, "", c.Message)
		}
	}
	for _, r := range l.Drive.QualityRows() {
		if r.Samples > 0 && float64(r.Missing) > mostMissing*float64(r.Samples) {
			l.add(OpenCircuit, string(r.Role), fmt.Sprintf("%d of %d readings of %s are missing (%s); look for a loose plug or a broken wire", r.Missing, r.Samples, r.Role, r.Source))
		}
	}
	for _, n := range l.Drive.Notes {
		switch n.Kind {
		case account.DeadChannel, drive.NoReadings:
			l.add(OpenCircuit, n.Subject, n.Text)
		case estimate.LostReadings, estimate.Ambiguous, drive.UnlikeOthers, drive.DoubtedByRest, account.UnitAssumed, account.TimeUnit, account.ClockUnset, account.GapInTime, clock.TimeZone,
			air.PressureDoubtful, air.HumidityDoubtful, air.AltitudeDoubtful:
			l.add(n.Kind, n.Subject, n.Text)
		}
	}
}

// widestClock is the length in seconds of the interval of a clock's offset from
// which on times of two devices can't be set against each other closely:
// an intake's temperature changes within half a minute of the speed.
const widestClock = 30.0

// checkClocks looks at what was done to each device's times.
func (l *Look) checkClocks(checks []drive.Check) {
	for _, c := range l.Drive.Clocks {
		r := c.Result
		switch {
		case !c.Aligned():
			for _, k := range checks {
				if k.Suspicion == drive.ClockNotAligned && k.Device == c.Device {
					l.add(DoubtfulClock, c.Device, k.Message)
				}
			}
		case c.Reference:
		case r.Method == clock.StatedOffset && math.IsInf(r.Interval.Duration(), 0):
			l.add(DoubtfulClock, c.Device, fmt.Sprintf("for the clock of %s %+.0f s are stated, and not how well that is known; clock-uncertainty in the campaign says it", c.Device, r.Offset))
		case math.Abs(r.Offset) > 12*3600:
			l.add(WrongDay, c.Device, fmt.Sprintf("the clock of %s shows another day: %.0f s were added to bring it onto the drive's", c.Device, r.Offset))
		case r.Interval.Duration() > widestClock || r.IsAmbiguous():
			l.add(DoubtfulClock, c.Device, fmt.Sprintf("the clock of %s is known to between %.0f and %.0f s only", c.Device, r.Interval.From, r.Interval.To))
		}
	}
}

// hottestIntake is what no air reaches that a running engine draws in: hotter
// is heat that soaks into a probe at rest. Common practice, no source.
const hottestIntake = 100.0 // °C

// checkHeatSoak finds an intake that reads hotter than air can be that an
// engine breathes.
func (l *Look) checkHeatSoak() {
	s, err := l.Drive.Channel(drive.Intake)
	if err != nil {
		return
	}
	speed, noSpeed := l.Drive.Channel(drive.Speed)
	limit := quantity.Celsius(hottestIntake).Kelvin()
	hottest, at, moving := limit, math.NaN(), 0
	for i, v := range s.Value {
		if v > hottest {
			hottest, at = v, s.Time[i]
		}
		if v > limit && noSpeed == nil && speed.Lookup(s.Time[i], drive.MaxGap) > 1 {
			moving++
		}
	}
	says := func(verb string, kelvin float64) string {
		return l.Drive.Units.Say(quantity.KindTemperature, verb, kelvin)
	}
	switch {
	case math.IsNaN(at):
	case moving > 0:
		l.add(HeatSoak, "intake", fmt.Sprintf("the intake reads %s at %.0f s and is above %s in %d readings while the car moves: that is no air that an engine breathes; does the probe touch metal?", says("%.1f", hottest), at, says("%.0f", limit), moving))
	default:
		l.add(HeatSoak, "intake", fmt.Sprintf("the intake reads %s at %.0f s with the car at rest: heat soak after switching off, not air that the engine breathes", says("%.1f", hottest), at))
	}
}
