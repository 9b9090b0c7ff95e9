package drive

import (
	"fmt"
	"strings"
)

// Set is what a step over many drives goes on with, and what it leaves out.
type Set struct {
	Drives  []*Drive
	LeftOut []LeftOut
}

// String lists the drives by name, and those left out with the reason.
func (s Set) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%d drives", len(s.Drives))
	for _, d := range s.Drives {
		fmt.Fprintf(&b, "\n  %s: %s, %s", d.Name, d.Configuration, clockSpan(d.Interval().Duration()))
	}
	for _, l := range s.LeftOut {
		fmt.Fprintf(&b, "\n  left out: %v", l)
	}
	return b.String()
}

// LeftOut is a drive that a step over many drives went on without.
type LeftOut struct {
	Drive         string
	Configuration string
	Step          Step
	// Why is what the step met; it is an error of that one drive.
	Why error
}

// String names the drive, its configuration and the reason.
func (l LeftOut) String() string {
	return fmt.Sprintf("drive %q (%s), while %v: %v", l.Drive, l.Configuration, l.Step, l.Why)
}

// Step is where on the way from files to an answer a drive was left out.
type Step int

// The steps, in order.
const (
	Joining   Step = iota // reading its files and joining them
	Cutting               // cutting it into stretches
	Comparing             // taking the rise over ambient
)

// String returns the step in words.
func (s Step) String() string {
	names := [...]string{"reading and joining its files", "cutting it into stretches", "taking its rise over ambient"}
	if s < 0 || int(s) >= len(names) {
		return fmt.Sprintf("Step(%d)", int(s))
	}
	return names[s]
}

// LeftOutError stands beside the result of a step over many drives and names
// those that the result does not hold.
type LeftOutError struct {
	LeftOut []LeftOut
	// Held is how many drives the result does hold.
	Held int
	// Told says that the result can be used all the same where it holds no
	// drive: it says what is missing.
	Told bool
}

// Partial reports whether there is a usable result beside the error. The
// notebook's Must shows a partial error and goes on.
func (e *LeftOutError) Partial() bool { return e.Held > 0 || e.Told }

// Error lists the drives left out, one a line.
func (e *LeftOutError) Error() string {
	lines := []string{fmt.Sprintf("%d of %d drives left out:", len(e.LeftOut), len(e.LeftOut)+e.Held)}
	for _, l := range e.LeftOut {
		lines = append(lines, l.String())
	}
	return strings.Join(lines, "\n")
}

// Unwrap gives the reasons to errors.Is and errors.As.
func (e *LeftOutError) Unwrap() []error {
	all := make([]error, len(e.LeftOut))
	for i, l := range e.LeftOut {
		all[i] = l.Why
	}
	return all
}

// Err returns the left-out drives as an error, nil where there is none.
func (s Set) Err() error {
	if len(s.LeftOut) == 0 {
		return nil
	}
	return &LeftOutError{LeftOut: s.LeftOut, Held: len(s.Drives)}
}
