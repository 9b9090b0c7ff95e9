package estimate

import "slices"

// Kind says what a warning is about, for programs to decide on. Packages
// declare the kinds that they give out; equal words mean the same thing
// everywhere.
type Kind string

// Kinds that several packages give out.
const (
	FewData       Kind = "few data"        // an interval that rests on very little
	OutsideRange  Kind = "outside range"   // used beyond what the source covers
	NotCalibrated Kind = "uncalibrated"    // a channel's own error is not known
	ClockDoubtful Kind = "clock"           // times of a device are not certain
	LostReadings  Kind = "lost readings"   // rows or values that could not be used
	Ambiguous     Kind = "ambiguous"       // the data allow another reading too
	Disagreement  Kind = "disagreement"    // two pieces of evidence contradict each other
	Correlated    Kind = "correlated data" // neighbouring values repeat each other
)

// Warning is something to know before a result is trusted. It is no error:
// the result stands.
type Warning struct {
	Kind Kind `json:"kind"`
	// Subject names what it concerns: a drive, a channel, a file, a stratum.
	// It may be empty where the result itself is meant.
	Subject string `json:"subject"`
	// Text says it to a person in one sentence. Nothing decides on it.
	Text string `json:"text"`
}

// String returns the warning with its subject in front.
func (w Warning) String() string {
	if w.Subject == "" {
		return w.Text
	}
	return w.Subject + ": " + w.Text
}

// Has reports whether any of the warnings is of the kind.
func Has(warnings []Warning, kind Kind) bool {
	return slices.ContainsFunc(warnings, func(w Warning) bool { return w.Kind == kind })
}

// Texts returns the warnings as sentences with their subjects, for showing.
func Texts(warnings []Warning) []string {
	var texts []string
	for _, w := range warnings {
		texts = append(texts, w.String())
	}
	return texts
}
