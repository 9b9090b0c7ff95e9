package account

import "github.com/bonnetbook/bonnetbook/pkg/estimate"

// Kinds of warning that reading a file gives out, beside those of package
// estimate (clock, lost readings, disagreement, correlated data).
const (
	UnitAssumed  estimate.Kind = "unit assumed"    // the file does not say; the text says why
	TimeUnit     estimate.Kind = "unit of times"   // what times count, or from which day, is not certain
	ClockUnset   estimate.Kind = "clock never set" // a date that is none
	OtherColumns estimate.Kind = "other columns"   // a header with others on the way
	GapInTime    estimate.Kind = "gap"             // pauses that are long for the file
	DeadChannel  estimate.Kind = "dead channel"    // no value, or always the same
	Derived      estimate.Kind = "derived"         // computed, not measured
)
