package account

import "github.com/bonnetbook/bonnetbook/pkg/estimate"

// Kinds of warning that reading a file gives out, beside those of package
// estimate (clock, lost readings, disagreement, correlated data).
const (
	UnitAssumed estimate.Kind = "unit assumed" // the file does not say; the text says why
	GapInTime   estimate.Kind = "gap"          // pauses that are long for the file
	DeadChannel estimate.Kind = "dead channel" // no value, or always the same
	Derived     estimate.Kind = "derived"      // computed, not measured
)

// Warnings are in the order in which they were found.
type Warnings []estimate.Warning

// Add is the one place where a warning is made. The subject is a column by its
// name, or the file by that without its folder; the text does not repeat it.
func (w *Warnings) Add(kind estimate.Kind, subject, text string) {
	*w = append(*w, estimate.Warning{Kind: kind, Subject: subject, Text: text})
}
