package table

import (
	"fmt"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
)

// Tally counts cells without a usable value, for one reason.
type Tally struct {
	Reason string
	word   string // the cell that said so, where that matters
	Cells  int
	Line   int
}

// Tallies are those of one column. There are few, so a list will do.
type Tallies []Tally

// Reasons for missing cells.
const (
	MissEmpty   = "empty"
	MissWord    = "no reading"
	MissText    = "not a number"
	MissGlued   = "more digits than a reading has: two numbers run together?"
	MissNumber  = "number that stands for no reading"
	MissRange   = "outside what can be measured"
	MissLimit   = "at or beyond the layout's limit"
	MissUnit    = "unit not known"
	MissFrozen  = "frozen"
	MissSpike   = "spike of one sample"
	MissPowerOn = "what a sensor says before its first reading"
	MissFirst   = "zero before the first reading"
	MissAlone   = "first reading far from all that follow"
	MissNoFix   = "position 0°, 0°: no fix"
)

// maxReasons limits how many words of one column are told apart.
const maxReasons = 12

// Count adds a cell without a usable value: why, the word that says so or nil,
// and its line.
func (t *Tallies) Count(reason string, word []byte, line int) {
	for i := range *t {
		if (*t)[i].Reason == reason && (*t)[i].word == string(word) {
			(*t)[i].Cells++
			return
		}
	}
	if len(*t) >= maxReasons && word != nil {
		t.Count(reason, nil, line)
		return
	}
	*t = append(*t, Tally{reason, string(word), 1, line})
}

// Describe says a tally in words.
func (m Tally) Describe() string {
	if m.word == "" {
		return m.Reason
	}
	return fmt.Sprintf("%s: %q", m.Reason, cell.Decode([]byte(m.word)))
}

// Undo takes back what was counted for a line.
func (t *Tallies) Undo(line int) {
	for i := len(*t) - 1; i >= 0; i-- {
		if (*t)[i].Line == line && (*t)[i].Cells == 1 {
			*t = append((*t)[:i], (*t)[i+1:]...)
		}
	}
}

// Merge adds a tally whose lines count from base.
func (t *Tallies) Merge(m Tally, base int) {
	for i := range *t {
		if (*t)[i].Reason == m.Reason && (*t)[i].word == m.word {
			(*t)[i].Cells += m.Cells
			return
		}
	}
	if len(*t) >= maxReasons && m.word != "" {
		m.word = ""
		t.Merge(m, base)
		return
	}
	m.Line += base
	*t = append(*t, m)
}

// Without returns the tallies but those of one reason.
func (t Tallies) Without(reason string) Tallies {
	var kept Tallies
	for _, m := range t {
		if !strings.HasPrefix(m.Reason, reason) {
			kept = append(kept, m)
		}
	}
	return kept
}

// Total is the number of cells.
func (t Tallies) Total() int {
	n := 0
	for _, m := range t {
		n += m.Cells
	}
	return n
}
