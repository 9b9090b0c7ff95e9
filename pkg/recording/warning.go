package recording

// kind says what a warning is about, for programs to decide on.
type kind string

// The kinds of warning that reading a file gives out.
const (
	unitAssumed   kind = "unit assumed"    // the file does not say; the text says why
	clockDoubtful kind = "clock"           // times or dates that rest on a guess, or jump
	lostReadings  kind = "lost readings"   // rows, columns or sheets that were not read
	gapInTime     kind = "gap"             // pauses that are long for the file
	deadChannel   kind = "dead channel"    // no value, or always the same
	derivedOnly   kind = "derived"         // computed, not measured
	disagreement  kind = "disagreement"    // two columns contradict each other
	correlated    kind = "correlated data" // rows that repeat each other
)

// warning is something to look at before the values are trusted.
type warning struct {
	kind    kind
	subject string // the column, line or file that it is about
	text    string
}

// warnings are in the order in which they were found.
type warnings []warning

// add is the one place where a warning is made.
func (w *warnings) add(k kind, subject, text string) {
	*w = append(*w, warning{k, subject, text})
}

// texts returns the sentences.
func (w warnings) texts() []string {
	var all []string
	for _, x := range w {
		all = append(all, x.text)
	}
	return all
}
