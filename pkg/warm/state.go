package warm

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
)

// Outcome is what is known of a drive's engine.
type Outcome int

// The outcomes.
const (
	NotKnown Outcome = iota // nothing tells
	Became                  // cold at first, then warm
	Never                   // not warm when the record ends
	AtStart                 // warm from the first reading
)

// String returns the outcome in words.
func (o Outcome) String() string {
	names := [...]string{"not known", "became warm", "never warm", "warm from the start"}
	if o < 0 || int(o) >= len(names) {
		return fmt.Sprintf("Outcome(%d)", int(o))
	}
	return names[o]
}

// Basis is what the outcome rests on.
type Basis int

// What it can rest on.
const (
	ByThermostat Basis = iota // the thermostat's opening
	ByRule                    // the rule that the owner stated
	ByHand                    // an instant, or a warm start, that the owner stated
	ByLevel                   // the level that the coolant holds, the opening unknown
)

// String returns the basis in words.
func (b Basis) String() string {
	names := [...]string{"the thermostat's opening", "the rule stated in the campaign", "what was stated for the drive", "the level that the coolant holds"}
	if b < 0 || int(b) >= len(names) {
		return fmt.Sprintf("Basis(%d)", int(b))
	}
	return names[b]
}

// Stated reports whether the outcome rests on what the owner said, so that no probe
// need have shown a thermostat that is open.
func (b Basis) Stated() bool { return b == ByRule || b == ByHand }

// State says from when on the engine of a drive counts as warm.
type State struct {
	Drive   string
	Outcome Outcome
	Basis   Basis
	// At is the instant in seconds of drive time, Interval95 its interval; NaN
	// and empty unless the outcome is Became.
	At         float64
	Interval95 series.Interval
	// Reason says in words why.
	Reason   string
	Warnings []estimate.Warning
}

// Conflict is the kind of a warning about two statements that can't both hold.
const Conflict estimate.Kind = "warm: contradiction"

// IsWarm reports whether the engine is known to have been warm at drive time
// t, and whether that is known at all.
func (s State) IsWarm(t float64) (warm, known bool) {
	switch s.Outcome {
	case Became:
		return t >= s.At, true
	case Never:
		return false, true
	case AtStart:
		return true, true
	}
	return false, false
}

// String says it in one line.
func (s State) String() string {
	text := fmt.Sprintf("drive %q: %v", s.Drive, s.Outcome)
	if s.Outcome == Became {
		text += fmt.Sprintf(" at %.0f s (95 %%: %.0f to %.0f s)", s.At, s.Interval95.From, s.Interval95.To)
	}
	return text + ", by " + s.Basis.String() + ": " + s.Reason
}

// Of returns the state of a drive of which the opening was looked for. What
// the owner says of the drive itself counts first, then what the thermostat
// shows, then the owner's rule, then the level that the coolant holds.
func Of(d *drive.Drive, opening thermostat.Result) State {
	w := d.Warming
	if w.HasMoment {
		return atMoment(d, opening)
	}
	if s := byThermostat(d, opening); s.Outcome != NotKnown {
		if w.StartsWarm && s.Outcome == Never {
			s.Warnings = append(s.Warnings, estimate.Warning{Kind: Conflict, Subject: d.Name, Text: "the drive is stated to start warm, but its thermostat stayed closed; that counts"})
		}
		return s
	}
	if w.StartsWarm {
		return State{Drive: d.Name, Outcome: AtStart, Basis: ByHand, At: math.NaN(), Reason: "the drive is stated to start with a warm engine"}
	}
	if !w.Rule.IsZero() {
		return byRule(d)
	}
	if h := opening.Held; h.Level.Kelvin() > 0 {
		return byLevel(d, h)
	}
	s := State{Drive: d.Name, At: math.NaN(), Reason: opening.Reason}
	if w.AirCooled {
		s.Reason = "an engine cooled by air has no thermostat; say in the campaign when it counts as warm: [warm] with after, distance, or role and above"
	}
	return s
}

// byThermostat takes the opening over.
func byThermostat(d *drive.Drive, opening thermostat.Result) State {
	s := State{Drive: d.Name, Basis: ByThermostat, At: math.NaN(), Reason: opening.Reason}
	switch opening.Outcome {
	case thermostat.Opened:
		s.Outcome, s.At, s.Interval95 = Became, opening.Onset, opening.Interval95
	case thermostat.NotReached:
		s.Outcome = Never
	case thermostat.AlreadyOpen, thermostat.StuckOpen:
		s.Outcome = AtStart
	}
	return s
}

// byLevel takes the level that the coolant holds: whenever the valve opened, and
// however much it leaks, the engine has been warm since.
func byLevel(d *drive.Drive, h thermostat.Held) State {
	s := State{Drive: d.Name, Basis: ByLevel, Outcome: AtStart, At: math.NaN(),
		Reason: fmt.Sprintf("when the thermostat opened can't be told, but from %.0f s on the coolant holds %s", h.From, d.Units.Say(quantity.KindTemperature, "%.0f", h.Level.Kelvin()))}
	if h.From > d.Interval().From+levelError {
		s.at(h.From, levelError)
	}
	return s
}

// levelError is the standard uncertainty of when coolant came to a level, s
// (judgement).
const levelError = 15.0

// atMoment takes the owner's instant.
func atMoment(d *drive.Drive, opening thermostat.Result) State {
	w := d.Warming
	s := State{Drive: d.Name, Basis: ByHand, Reason: "the instant is stated in the campaign"}
	s.at(w.Moment, w.MomentUncertainty)
	seen := byThermostat(d, opening)
	switch {
	case seen.Outcome == Became && seen.Interval95.From > s.Interval95.To:
		s.Warnings = append(s.Warnings, estimate.Warning{Kind: Conflict, Subject: d.Name, Text: fmt.Sprintf("the engine is stated to be warm at %.0f s, but its thermostat opened at %.0f s (95 %%: %.0f to %.0f s)", s.At, seen.At, seen.Interval95.From, seen.Interval95.To)})
	case seen.Outcome == Never:
		s.Warnings = append(s.Warnings, estimate.Warning{Kind: Conflict, Subject: d.Name, Text: fmt.Sprintf("the engine is stated to be warm at %.0f s, but its thermostat stayed closed", s.At)})
	}
	return s
}

// at sets an instant with its standard uncertainty.
func (s *State) at(t, uncertainty float64) {
	const coverage95 = 1.96
	s.Outcome, s.At = Became, t
	s.Interval95 = series.Interval{From: t - coverage95*uncertainty, To: t + coverage95*uncertainty}
}
