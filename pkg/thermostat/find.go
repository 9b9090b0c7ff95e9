// Package thermostat finds when the thermostat of a drive began to open, or
// says why that can't be told.
//
// "Opened" means the first flow: the instant at which the valve first lifts and
// the first hot coolant passes it on its way to the radiator. No channel shows
// that instant itself. The top tank rises visibly 3 to 10 s later, the coolant
// at the engine bends up to 20 s later, when cold water has come round, and
// probes lag. What is known of each is a distribution, and a tank's interval is
// that of their sum; the coolant's reaches back to where a rounded corner began
// and by a way round the radiator. Both widen with the logger's step.
//
// It works from whichever channels exist: coolant on the engine side (climb,
// bend, regulation), the radiator's top and bottom tank (creep, then a fast
// rise), bay and intake air (a later, softer step). The channel that shows the
// opening most directly gives the answer; the others confirm it or are
// reported to disagree, and decide where it does not. Nothing is averaged and
// nothing is answered across a gap. Bay, intake and the radiator's air come too
// late and too softly to narrow what a tank or the coolant says: they confirm
// only. The speed tells load from valve; without it less can be told.
//
// A record that ends within minutes of a bend, begins warm, or rests on what
// coolant does while the car is parked decides nothing on its own. What the
// other drives of the same car say of it is found by [Learn].
package thermostat

import (
	"errors"
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat/internal/bins"
)

// ErrNoEvidence is wrapped by the error for a drive without a channel that
// could show an opening.
var ErrNoEvidence = errors.New("no channel that shows the thermostat")

// precedence lists the channels by how directly they show the opening.
var precedence = []drive.Role{drive.TopTank, drive.Coolant, drive.BottomTank, drive.EngineBay, drive.Intake}

// Find looks for the opening with the default rules. It fails as [FindWith]
// does.
func Find(d *drive.Drive) (Result, error) { return FindWith(d, DefaultRules()) }

// FindWith looks for the opening with the given rules. The error wraps
// [ErrNoEvidence] if the drive has none of the channels; weak or missing
// evidence is no error but an [Outcome], and so is an engine that is cooled by
// air. It wraps [quantity.ErrOutOfRange] if a
// rule that must be above 0 is not.
func FindWith(d *drive.Drive, rules Rules) (Result, error) {
	none := Result{Drive: d.Name, Units: d.Units, Onset: math.NaN(), FullyOpen: math.NaN()}
	if err := rules.check(); err != nil {
		return none, err
	}
	if d.Warming.AirCooled {
		none.Outcome, none.Reason = NoThermostat, "the engine is cooled by air"
		none.Regulation.CyclingPeriod = math.NaN()
		return none, nil
	}
	traces := map[drive.Role]*trace{}
	for _, role := range precedence {
		if c, ok := d.Channels[role]; ok {
			if tr := newTrace(role, c.Series, rules.MaximumGap); len(tr.t) >= 2 {
				tr.units, tr.of = d.Units, d
				traces[role] = &tr
			}
		}
	}
	if len(traces) == 0 && hasAny(d) {
		return none, fmt.Errorf("drive %q: %w: its temperature channels hold hardly any readings; an open circuit?", d.Name, ErrNoEvidence)
	}
	if len(traces) == 0 {
		return none, fmt.Errorf("drive %q: %w: it has %v; a coolant, top tank, bottom tank, bay or intake temperature is needed", d.Name, ErrNoEvidence, d.RoleList())
	}
	verdicts := map[drive.Role]verdict{}
	for role, tr := range traces {
		verdicts[role] = judge(d, tr, traces, rules)
	}
	r := combine(d, verdicts, rules)
	r.describe(d, traces, rules)
	return r, nil
}

func hasAny(d *drive.Drive) bool {
	for _, role := range precedence {
		if d.Has(role) {
			return true
		}
	}
	return false
}

func judge(d *drive.Drive, tr *trace, traces map[drive.Role]*trace, rules Rules) verdict {
	switch tr.role {
	case drive.TopTank:
		return judgeTank(tr, traces[drive.Coolant], along(d, drive.Speed, tr), rules.MinimumRise.Kelvins(), rules)
	case drive.BottomTank:
		return judgeTank(tr, traces[drive.Coolant], along(d, drive.Speed, tr), rules.MinimumRise.Kelvins()/2, rules)
	case drive.Coolant:
		return judgeEngine(tr, along(d, drive.Speed, tr), rules)
	}
	return judgeAir(tr, along(d, drive.Ambient, tr), along(d, drive.Speed, tr), rules)
}

// along is another channel at the bins of a trace, see [bins.Along].
func along(d *drive.Drive, role drive.Role, tr *trace) []float64 {
	return bins.Along(d, role, tr.t, tr.step)
}

// describe fills in what follows from the outcome.
func (r *Result) describe(d *drive.Drive, traces map[drive.Role]*trace, rules Rules) {
	r.Regulation.CyclingPeriod = math.NaN()
	from := r.FullyOpen
	if math.IsNaN(from) {
		from = r.Onset
	}
	if r.Outcome == AlreadyOpen {
		from = d.Interval().From
	}
	for _, role := range []drive.Role{drive.Coolant, drive.TopTank} {
		if tr := traces[role]; tr != nil && !math.IsNaN(from) && r.Regulation.Role == "" {
			r.Regulation = tr.regulation(from)
		}
	}
	if r.Outcome != Opened {
		return
	}
	r.AtOnset = map[drive.Role]Reading{}
	for role, c := range d.Channels {
		if c.Series.Dimension != series.Temperature {
			continue
		}
		// A slow logger's own step is no gap.
		if v := c.Series.Lookup(r.Onset, max(rules.MaximumGap, 1.5*c.Series.Step())); !math.IsNaN(v) {
			r.AtOnset[role] = Reading{Value: quantity.Kelvin(v), Meaning: meaning[role]}
		}
	}
}

var meaning = map[drive.Role]string{
	drive.Coolant:     "coolant at the thermostat's hot side: close to the temperature at which it begins to open",
	drive.TopTank:     "still the cold side of the closed thermostat: far below the temperature that opens it, which is not this value",
	drive.BottomTank:  "coolant that has not yet come through the radiator: says nothing of the opening temperature",
	drive.EngineBay:   "the bay as block and exhaust have warmed it, without the radiator",
	drive.Intake:      "the intake as block and exhaust have warmed it, without the radiator",
	drive.RadiatorAir: "air through a radiator that is still cold",
	drive.Ambient:     "outside air",
}
