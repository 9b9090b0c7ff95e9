// Package exercise checks the answers to a course's exercises.
//
// An [Exercise] knows when an answer is right and which mistakes are likely.
// Each [Mistake] points at one misconception and has hints of its own, the
// later ones plainer, none of which gives the answer away. [Exercise.Check]
// judges; whoever grades calls the same function, or reads the form of its
// result for programs ([MIME]) out of a notebook that was run.
//
// The exercises themselves are functions of what a notebook computed, so that
// they hold for a reader's own files, too: [VillageRise] asks of the drive that
// was opened, not of a number written here.
package exercise

import "sync"

// Exercise is one question, with what is right and what is likely to go wrong.
// Its zero value takes no answer.
type Exercise struct {
	// ID names the exercise by its notebook and its number there: "01-3".
	ID string
	// right reports whether an answer is right.
	right func(answer any) bool
	// praise is said of a right answer: what it shows.
	praise string
	// begin are the hints for who has not answered.
	begin []string
	// mistakes are asked in order; the first that matches is told.
	mistakes []Mistake
	// lacking says why the question can't be asked of these data; empty where
	// it can.
	lacking string
}

// Mistake is one misconception, with the answers that show it.
type Mistake struct {
	// ID names it within its exercise.
	ID string
	// shows reports whether an answer shows it.
	shows func(answer any) bool
	// hints are told one after the other to who makes it again.
	hints []string
}

// The outcomes that every exercise has beside its mistakes.
const (
	NotAnswered = "not answered"
	Unexpected  = "unexpected"
	NoData      = "no data"
)

// Mistakes lists the IDs of the mistakes that have hints of their own.
func (e Exercise) Mistakes() []string {
	ids := make([]string, len(e.mistakes))
	for i, m := range e.mistakes {
		ids[i] = m.ID
	}
	return ids
}

// Judge says what an answer shows; tries is how often the same was said of it
// before, and chooses the hint. It remembers nothing.
func (e Exercise) Judge(answer any, tries int) Judgement {
	outcome, hints := e.outcome(answer)
	return e.judgement(outcome, hints, tries)
}

func (e Exercise) judgement(outcome string, hints []string, tries int) Judgement {
	j := Judgement{Exercise: e.ID, Passed: outcome == "", Mistake: outcome, Says: e.praise}
	if !j.Passed {
		j.Level = min(tries, len(hints)-1) + 1
		j.Levels = len(hints)
		j.Says = hints[j.Level-1]
	}
	return j
}

// outcome returns the ID of the mistake and its hints, or nothing for a right
// answer.
func (e Exercise) outcome(answer any) (string, []string) {
	switch {
	case e.lacking != "" || e.right == nil:
		return NoData, []string{"This can't be asked here: " + e.lacking}
	case isStub(answer):
		return NotAnswered, e.begin
	case e.right(answer):
		return "", nil
	}
	for _, m := range e.mistakes {
		if m.shows(answer) {
			return m.ID, m.hints
		}
	}
	return Unexpected, []string{
		"None of the usual mistakes leads there. Read the question once more. " + e.begin[0],
		"Begin again from what you know. " + e.begin[len(e.begin)-1],
	}
}

// tries counts what was said of each exercise in this session.
var tries = struct {
	sync.Mutex
	of map[[2]string]int
}{of: map[[2]string]int{}}

// Check judges an answer. Who makes the same mistake again gets the next of
// its hints, which is plainer.
func (e Exercise) Check(answer any) Judgement {
	outcome, hints := e.outcome(answer)
	key := [2]string{e.ID, outcome}
	tries.Lock()
	defer tries.Unlock()
	j := e.judgement(outcome, hints, tries.of[key])
	tries.of[key]++
	return j
}
