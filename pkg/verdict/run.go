package verdict

import (
	"errors"
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/internal/parallel"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/thermostat"
	"github.com/bonnetbook/bonnetbook/pkg/warm"
)

// Run is one drive with what happened in it.
type Run struct {
	Drive    *drive.Drive
	Opening  thermostat.Result
	Segments []segment.Segment

	checks *[]drive.Check // of the drive; nil: not made yet
}

// Checks returns what the drive's channels show when they are compared with
// each other, see [drive.Drive.Checks]; those of an answer are made once.
func (r Run) Checks() []drive.Check {
	if r.checks == nil {
		return r.Drive.Checks()
	}
	return *r.checks
}

// Warm returns from when on the engine counts as warm, and by what.
func (r Run) Warm() warm.State { return warm.Of(r.Drive, r.Opening) }

// Cut finds each drive's opening and cuts it. The drives are one car's: what
// the others show of its thermostat and of its engine's most decides where one
// alone does not. A drive that can't be cut, for want of a speed, is left out with
// the reason; one whose opening can't be told is cut all the same, but no stretch
// of it is settled.
func Cut(drives []*drive.Drive, rules segment.Rules) ([]Run, []drive.LeftOut) {
	var runs []Run
	var out []drive.LeftOut
	leave := func(d *drive.Drive, err error) {
		out = append(out, drive.LeftOut{Drive: d.Name, Configuration: d.Configuration, Step: drive.Cutting, Why: err})
	}
	first, errs := make([]thermostat.Result, len(drives)), make([]error, len(drives))
	parallel.Each(len(drives), func(i int) { first[i], errs[i] = openingOf(drives[i]) })
	var found []*drive.Drive
	var openings []thermostat.Result
	for i, d := range drives {
		if errs[i] != nil {
			leave(d, errs[i])
			continue
		}
		found, openings = append(found, d), append(openings, first[i])
	}
	// With as many answers as drives and the default rules it can't fail.
	if _, again, err := thermostat.Learn(found, openings, quantity.Temperature{}, thermostat.DefaultRules()); err == nil {
		openings = again
	}
	rules = rules.Learn(found)
	cut, failed := make([]Run, len(found)), make([]error, len(found))
	parallel.Each(len(found), func(i int) {
		pieces, err := segment.SplitAfter(found[i], openings[i], rules)
		if err != nil {
			failed[i] = err
			return
		}
		checks := found[i].Checks()
		cut[i] = Run{Drive: found[i], Opening: openings[i], Segments: pieces, checks: &checks}
	})
	for i, d := range found {
		if failed[i] != nil {
			leave(d, failed[i])
			continue
		}
		runs = append(runs, cut[i])
	}
	return runs, out
}

// openingOf is the opening of one drive on its own.
func openingOf(d *drive.Drive) (thermostat.Result, error) {
	opening, err := thermostat.Find(d)
	if errors.Is(err, thermostat.ErrNoEvidence) {
		return untold(d, err), nil
	}
	return opening, err
}

// untold is the opening of a drive that does not tell it.
func untold(d *drive.Drive, why error) thermostat.Result {
	return thermostat.Result{Drive: d.Name, Units: d.Units, Reason: why.Error(), Onset: math.NaN(), FullyOpen: math.NaN()}
}

// compared hands the runs to package compare.
func compared(runs []Run) []compare.Run {
	all := make([]compare.Run, len(runs))
	for i, r := range runs {
		all[i] = compare.Run{Drive: r.Drive, Segments: r.Segments}
	}
	return all
}

// settledMinutes is how long the run may be compared.
func (r Run) settledMinutes() float64 {
	sum := 0.0
	for _, s := range segment.Settled(r.Segments) {
		sum += s.Interval.Duration() / 60
	}
	return sum
}

// String says in one line what the run shows.
func (r Run) String() string {
	return fmt.Sprintf("%s (%s): %s, %.0f settled minutes", r.Drive.Name, r.Drive.Configuration, r.warmth(), r.settledMinutes())
}

// warmth says in few words how the engine got warm.
func (r Run) warmth() string {
	s := r.Warm()
	switch {
	case s.Outcome == warm.NotKnown || s.Basis == warm.ByThermostat:
		return "thermostat " + r.Opening.Outcome.String()
	case s.Outcome == warm.Became:
		return fmt.Sprintf("warm after %.0f min, by %v", s.At/60, s.Basis)
	}
	return fmt.Sprintf("%v, by %v", s.Outcome, s.Basis)
}
