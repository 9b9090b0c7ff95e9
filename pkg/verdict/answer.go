package verdict

import (
	"errors"
	"fmt"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/plan"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
)

// Answer is everything between the drives and the answer.
type Answer struct {
	Before, After string
	// Rules are those of the comparison.
	Rules compare.Rules
	// Units are those in which all is written: the campaign's, else those of the
	// drives' files.
	Units quantity.Preferred
	// Joined are the drives whose files could be joined, in the order of the
	// campaign; [Answer.Look] looks at one.
	Joined []*drive.Drive
	// Runs are the drives that could be cut, in the order of the campaign.
	Runs []Run
	// Rises holds each run's rise in every stratum, Differences after minus
	// before in every stratum; Differences is empty where one side has no drive.
	Rises       []compare.DriveRise
	Differences []compare.Difference
	// Pulls are the stretches that were taken for full throttle, those of them that
	// were rejected, and the brisk ones, which may have been; Looked says that
	// somebody was asked.
	Pulls  []Pull
	Looked bool
	// Intakes holds what each of several intake probes says; empty for one.
	Intakes []IntakeChange
	// Order is how the two configurations follow one another in time.
	Order compare.TimeOrder
	Power Power
	// Next is what to measure next, most useful first.
	Next []plan.Step
	// LeftOut are the drives that a step went on without.
	LeftOut []drive.LeftOut
	// Warnings say what to know before the answer is trusted.
	Warnings []estimate.Warning

	rules segment.Rules // by which the drives were cut
}

// Open answers the question for a campaign file. It fails where the file has
// problems, and as [Of] does.
func Open(path string, q Question) (*Answer, error) {
	c, err := campaign.Open(path)
	if err != nil {
		return nil, err
	}
	return Of(c, q)
}

// Of answers the question for a campaign. It fails where a configuration is
// not in the campaign, where before and after are one, where a rule can't be
// used, or where no drive at all holds; the last is a [drive.LeftOutError] beside
// an answer that says what is missing. One side without a drive is no error: the
// answer says so.
func Of(c *campaign.Campaign, q Question) (*Answer, error) {
	q, err := q.named(c)
	if err != nil {
		return nil, err
	}
	q = q.of(c)
	sides := []string{q.Before}
	if q.After != "" {
		sides = append(sides, q.After)
	}
	set, err := c.Gather(sides...)
	if err != nil {
		return nil, err
	}
	return ofDrives(set, q, c.Units)
}

// OfDrives answers the question for drives that are joined already, however
// that was done. Drives of other configurations take no part. It fails as
// [Of] does.
func OfDrives(set drive.Set, q Question) (*Answer, error) {
	return ofDrives(set, q, quantity.Preferred{})
}

func ofDrives(set drive.Set, q Question, units quantity.Preferred) (*Answer, error) {
	q = q.complete()
	for _, d := range set.Drives {
		units = units.Or(d.Units)
	}
	if q.Before == q.After {
		return nil, fmt.Errorf("before and after are both %q: a configuration can't be compared with itself; name the other one", q.Before)
	}
	a := &Answer{Before: q.Before, After: q.After, Rules: q.Comparing, Units: units, LeftOut: slices.Clone(set.LeftOut)}
	var drives []*drive.Drive
	for _, d := range set.Drives {
		if d.Configuration == q.Before || d.Configuration == q.After {
			drives = append(drives, d)
		}
	}
	var out []drive.LeftOut
	a.Joined, a.rules = drives, q.Cutting
	a.Runs, out = Cut(drives, q.Cutting)
	a.LeftOut = append(a.LeftOut, out...)
	a.leaveUnaligned()
	a.Pulls, a.Looked = reject(a.Runs, q.Rejected), q.Rejected != nil
	if l, known := compare.MeasuredLambda(compared(a.Runs), q.Before); known {
		q.Comparing.Lambda = l
	}
	if err := a.compare(q); err != nil {
		return nil, err
	}
	if len(a.Runs) == 0 {
		if len(a.LeftOut) == 0 {
			return nil, fmt.Errorf("no drive is of the configuration %q or %q", q.Before, q.After)
		}
		a.Next = plan.Next(plan.Known{Drives: drives, Before: q.Before, After: q.After})
		a.Power = worth(nil, nil, q)
		a.warn(q.Comparing)
		return a, &drive.LeftOutError{LeftOut: a.LeftOut, Told: true}
	}
	a.Order = compare.OrderOf(a.drives(), q.Before, q.After)
	a.Power = worth(a.Differences, a.drives(), q)
	if estimate.Has(a.Power.Warnings, NoFullThrottle) && a.Power.Outside.Check() == nil {
		var err error
		if a.Power.Predicted, err = a.predict(); err != nil {
			a.Power.Warnings = append(a.Power.Warnings, estimate.Warning{Kind: PowerNotKnown, Text: fmt.Sprintf("Nothing is predicted for full throttle either: %v", err)})
		}
	}
	a.sayBrisk()
	a.Next = append(a.sayWhenWarm(), plan.Next(plan.Known{Drives: a.drives(), Differences: a.Differences, Before: q.Before, After: q.After})...)
	a.warn(q.Comparing)
	return a, nil
}

// compare takes the rises and, where both sides have some, their differences.
func (a *Answer) compare(q Question) error {
	rises, err := compare.Rises(compared(a.Runs), q.Comparing)
	var partial *drive.LeftOutError
	if errors.As(err, &partial) {
		a.LeftOut = append(a.LeftOut, partial.LeftOut...)
		a.Runs = slices.DeleteFunc(a.Runs, func(r Run) bool {
			return slices.ContainsFunc(partial.LeftOut, func(l drive.LeftOut) bool { return l.Drive == r.Drive.Name })
		})
	} else if err != nil {
		return err
	}
	a.Rises = rises
	if a.count(a.Before) > 0 && a.count(a.After) > 0 {
		if a.Differences, err = compare.Configurations(rises, a.Before, a.After, q.Comparing); err != nil {
			return err
		}
		return a.eachIntake(q.Comparing)
	}
	return nil
}

// count returns how many runs there are of the configuration.
func (a *Answer) count(configuration string) int {
	n := 0
	for _, r := range a.Runs {
		if r.Drive.Configuration == configuration {
			n++
		}
	}
	return n
}

func (a *Answer) drives() []*drive.Drive {
	all := make([]*drive.Drive, len(a.Runs))
	for i, r := range a.Runs {
		all[i] = r.Drive
	}
	return all
}

// Run returns the run of the drive of that name; an empty name takes the first.
// The error says why the drive was left out, or which runs there are.
func (a *Answer) Run(name string) (Run, error) {
	var names []string
	for _, r := range a.Runs {
		if name == "" || r.Drive.Name == name {
			return r, nil
		}
		names = append(names, r.Drive.Name)
	}
	for _, l := range a.LeftOut {
		if l.Drive == name {
			return Run{}, fmt.Errorf("%v; look at one of %q instead", l, names)
		}
	}
	return Run{}, fmt.Errorf("there is no drive %q with %q or %q; there are %q", name, a.Before, a.After, names)
}

// NamesFor returns the drives that Look and Run know. A notebook completes them
// between quotes.
func (a *Answer) NamesFor(method string) (names []string) {
	if method == "Look" || method == "Run" || method == "" {
		for _, d := range a.Joined {
			names = append(names, d.Name)
		}
	}
	return names
}

// Look looks at the drive of that name, with the opening that the answer rests
// on where there is one; an empty name takes the first. A drive without a speed
// can be looked at, too. The error says why its files could not be joined, or
// which drives there are.
func (a *Answer) Look(name string) (Look, error) {
	var names []string
	for _, d := range a.Joined {
		if name != "" && d.Name != name {
			names = append(names, d.Name)
			continue
		}
		if r, err := a.Run(d.Name); err == nil {
			return lookAfter(r, a.rules), nil
		}
		return LookAt(d, a.rules), nil
	}
	for _, l := range a.LeftOut {
		if l.Drive == name || name == "" {
			return Look{}, fmt.Errorf("%v; there are %q to look at", l, names)
		}
	}
	return Look{}, fmt.Errorf("there is no drive %q with %q or %q; there are %q", name, a.Before, a.After, names)
}
