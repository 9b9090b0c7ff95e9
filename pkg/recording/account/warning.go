package account

// Kind says what a warning is about, for programs to decide on.
type Kind string

// The kinds of warning that reading a file gives out.
const (
	UnitAssumed   Kind = "unit assumed"    // the file does not say; the text says why
	ClockDoubtful Kind = "clock"           // times or dates that rest on a guess, or jump
	LostReadings  Kind = "lost readings"   // rows, columns or sheets that were not read
	GapInTime     Kind = "gap"             // pauses that are long for the file
	DeadChannel   Kind = "dead channel"    // no value, or always the same
	DerivedOnly   Kind = "derived"         // computed, not measured
	Disagreement  Kind = "disagreement"    // two columns contradict each other
	Correlated    Kind = "correlated data" // rows that repeat each other
)

// Warning is something to look at before the values are trusted.
type Warning struct {
	Kind    Kind
	Subject string // the column or file that it is about
	Text    string
}

// Warnings are in the order in which they were found.
type Warnings []Warning

// Add is the one place where a warning is made.
func (w *Warnings) Add(k Kind, subject, text string) {
	*w = append(*w, Warning{k, subject, text})
}

// Texts returns the sentences.
func (w Warnings) Texts() []string {
	var all []string
	for _, x := range w {
		all = append(all, x.Text)
	}
	return all
}
