package thermostat

import (
	"fmt"
	"math"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Outcome is what a drive shows of the thermostat.
type Outcome int

// The outcomes. Only Opened has an onset.
const (
	NotDecidable Outcome = iota // the channels do not settle the question
	Opened                      // closed at first, then open, both seen
	NotReached                  // still closed when the record ends
	AlreadyOpen                 // open from the first reading: a warm restart
	StuckOpen                   // never closes: slow rise to a low plateau
	NoThermostat                // the engine is cooled by air
)

// String returns the outcome in words.
func (o Outcome) String() string {
	names := [...]string{"not decidable", "opened", "not reached", "already open at the start", "stuck open", "no thermostat"}
	if o < 0 || int(o) >= len(names) {
		return fmt.Sprintf("Outcome(%d)", int(o))
	}
	return names[o]
}

// Confidence grades an answer by how its pieces of evidence stand together.
type Confidence string

// The grades.
const (
	Low    Confidence = "low"    // one weak piece, or pieces that disagree
	Medium Confidence = "medium" // one clear piece, nothing against it
	High   Confidence = "high"   // two pieces that agree, or one that regulation confirms
)

// Reading is a channel's temperature at an instant and what it stands for.
type Reading struct {
	Value quantity.Temperature
	// Meaning says in words what this value tells about the thermostat, since
	// a reading behind a closed thermostat is not its opening temperature.
	Meaning string
}

// Model names the shape that was fitted to a channel.
type Model string

// The models.
const (
	Bend    Model = "ramp, bend, regulation" // engine side
	Rise    Model = "creep, then fast rise"  // radiator side
	Step    Model = "step in level"          // bay and intake air
	Plateau Model = "asymptote without bend" // stuck open
)

// Evidence is what one channel says.
type Evidence struct {
	Role  drive.Role
	Model Model
	// Onset is the begin of opening in drive time; the interval is that of the
	// posterior, widened by what readings and probe can't resolve.
	Onset estimate.Estimate
	// LogEvidence is half the difference of the Bayesian information
	// criterion between the best model without and with the opening: above 5
	// is strong, below 0 speaks against an opening.
	LogEvidence float64
	// Fit is the fitted curve over the window that was fitted, for a chart.
	Fit *series.Series
	// Says is the piece of evidence in words.
	Says string
}

// Candidate is an instant that looked like an opening and was rejected.
type Candidate struct {
	Role drive.Role
	Time float64 // s, drive time
	Why  string
}

// Regulation describes the temperature that the open thermostat holds.
type Regulation struct {
	// Role is the channel it was read on; empty if there is none.
	Role     drive.Role
	Interval series.Interval
	// Level is the median; its interval is from scatter alone, without the
	// probe's own error.
	Level estimate.Estimate
	// CyclingPeriod is the time between neighbouring maxima in seconds, NaN
	// where no cycling rises above the resolution and noise.
	CyclingPeriod float64
	// CyclingAmplitude is half the swing from minimum to maximum.
	CyclingAmplitude quantity.TemperatureDifference
}

// Held is a level that coolant keeps within a kelvin or two for most of five minutes
// and more, where only a thermostat holds it.
type Held struct {
	From  float64 // s, drive time
	Level quantity.Temperature
}

// Result is the answer for one drive.
type Result struct {
	Drive   string
	Outcome Outcome
	// Onset is when the thermostat began to open (the first flow), in seconds
	// of drive time; NaN unless Outcome is Opened. Opening gives it as an estimate.
	Onset float64
	// Interval95 holds the true onset in 95 of 100 such drives; empty unless
	// Outcome is Opened.
	Interval95 series.Interval
	// FullyOpen is when hot coolant filled the radiator (fast rise over, or
	// the engine side's regulation reached); NaN if that was not seen.
	FullyOpen  float64
	Regulation Regulation
	// Held says that the engine came to its temperature, and when, though the
	// opening itself can't be told; its zero value that this is not known. Only
	// where Outcome is NotDecidable.
	Held Held
	// AtOnset holds each temperature channel's value at the onset.
	AtOnset    map[drive.Role]Reading
	Evidence   []Evidence
	Rejected   []Candidate
	Confidence Confidence
	// Reason says in words why the outcome was chosen.
	Reason   string
	Warnings []estimate.Warning

	// Units are those in which texts are written: the drive's.
	Units quantity.Preferred

	lead drive.Role // the channel that gives the outcome, empty where none does
}

func (r *Result) warn(kind estimate.Kind, format string, arguments ...any) {
	r.Warnings = append(r.Warnings, estimate.Warning{Kind: kind, Subject: r.Drive, Text: fmt.Sprintf(format, arguments...)})
}

var seconds = quantity.KindDuration.SI()

// Opening returns when the thermostat began to open as an estimate in seconds
// of drive time; unknown, with the reason, unless Outcome is Opened.
func (r Result) Opening() estimate.Estimate {
	e := estimate.Unknown(nameOpening, seconds, fmt.Sprintf("%s: %s", r.Outcome, r.Reason))
	if r.Outcome == Opened {
		e = onset(r.Onset, r.Interval95)
		e.Contributions = r.contributions("", e)
	}
	e.Warnings = r.Warnings
	return e
}

const nameOpening = "opening of the thermostat"

// onset is an instant with its 95 % interval from a posterior.
func onset(t float64, v series.Interval) estimate.Estimate {
	return estimate.Between(nameOpening, t, seconds, estimate.Interval{Low: v.From, High: v.To, Level: 0.95}, estimate.Likelihood, math.NaN())
}

// contributions names the one source of an onset's uncertainty: how this drive
// warmed up, as one channel saw it.
func (r Result) contributions(role drive.Role, e estimate.Estimate) []estimate.Contribution {
	id := fmt.Sprintf("%s, drive %q", nameOpening, r.Drive)
	if role != "" {
		id += ", " + string(role)
	}
	e.Contributions = nil
	return []estimate.Contribution{{Source: estimate.Source{Kind: estimate.Scatter, ID: id}, Effect: e.StandardUncertainty()}}
}

// TextAtOnset is a channel's temperature at the onset as the drive's owner reads
// it; "-" where it has none.
func (r Result) TextAtOnset(role drive.Role) string {
	if c, ok := r.AtOnset[role]; ok {
		return r.Units.Say(quantity.KindTemperature, "%.1f", c.Value.Kelvin())
	}
	return "-"
}

// IsOpen reports whether the thermostat is known to have been open at drive
// time t, and whether that is known at all.
func (r Result) IsOpen(t float64) (open, known bool) {
	switch r.Outcome {
	case Opened:
		return t >= r.Onset, true
	case NotReached:
		return false, true
	case AlreadyOpen, StuckOpen:
		return true, true
	}
	return false, false
}

// String returns the answer in a few lines of plain words.
func (r Result) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "Thermostat, drive %q: %s", r.Drive, r.Outcome)
	if r.Outcome == Opened {
		fmt.Fprintf(&b, " at %.0f s (95 %% interval %.0f to %.0f s), confidence %s", r.Onset, r.Interval95.From, r.Interval95.To, r.Confidence)
	}
	fmt.Fprintf(&b, "\n  %s", r.Reason)
	for _, e := range r.Evidence {
		if e.Role == r.lead {
			continue // the reason says it
		}
		fmt.Fprintf(&b, "\n  %s: %s", e.Role, e.Says)
	}
	if r.Regulation.Role != "" {
		fmt.Fprintf(&b, "\n  regulates at %s (%s)", r.Units.Say(quantity.KindTemperature, "%.1f", r.Regulation.Level.Value), r.Regulation.Role)
		if r.Regulation.CyclingPeriod > 0 {
			fmt.Fprintf(&b, ", cycling every %.0f s by ±%s", r.Regulation.CyclingPeriod, r.Units.Say(quantity.KindTemperatureDifference, "%.1f", r.Regulation.CyclingAmplitude.Kelvins()))
		}
	}
	for _, c := range r.Rejected {
		fmt.Fprintf(&b, "\n  not %.0f s (%s): %s", c.Time, c.Role, c.Why)
	}
	for _, w := range r.Warnings {
		fmt.Fprintf(&b, "\n  warning: %s", w.Text)
	}
	return b.String()
}
