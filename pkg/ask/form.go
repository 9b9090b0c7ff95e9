// Package ask turns the questions of a draft into controls of a notebook: one
// list for each, a table of what is open with a small curve of what is meant,
// and the same answers that the command line takes.
package ask

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// open is what a list shows that has not been touched.
const open = "?"

// Form holds the questions of a draft and the answers so far.
type Form struct {
	folder   string
	lists    []list
	previews map[string]curve // by subject
	memory   *campaign.DraftMemory

	mu     sync.Mutex
	given  []campaign.DraftAnswer // by [Form.Answer]
	sketch *campaign.Sketch
}

// list is a control with what its value answers: a list of choices, or a text.
type list struct {
	control interface {
		notebook.Control
		Value() string
	}
	id   string // of the question
	part string // the drive or column that it is about; empty: the whole question
	keep string // the option that answers nothing
	// ids are the answers that options stand for, where they are others.
	ids map[string]string
}

// readable writes an ID of a campaign file, such as that of a kind of driving, as
// words.
func readable(id string) string { return strings.ReplaceAll(id, "_", " ") }

// Draft drafts a campaign from a folder and makes a list for each of its
// questions that has choices: role, configuration, order of dates, unit, and
// what a verdict can do without; and a field to write into for each drive whose
// outside temperature no probe shows. configurations are the names to choose from for
// the drives; without any they are those of the campaign, else "before" and
// "after". Nothing is written before [Form.Save]. It fails as [campaign.Draft]
// does.
func Draft(folder string, configurations ...string) (*Form, error) {
	memory := &campaign.DraftMemory{}
	s, err := campaign.DraftWith(folder, campaign.DraftOptions{Memory: memory})
	if err != nil {
		return nil, err
	}
	f := &Form{folder: folder, sketch: s, previews: map[string]curve{}, memory: memory}
	for _, q := range s.Questions {
		switch {
		case q.Kind == campaign.AskConfiguration:
			names := configurations
			if len(names) == 0 {
				names = q.Choices
			}
			for _, drive := range q.Subjects {
				at := slices.IndexFunc(s.Drives, func(d campaign.DraftDrive) bool { return d.Name == drive })
				f.add(q.ID, plain(drive, at), drive, open, names)
			}
		case q.Kind == campaign.AskRole:
			for _, subject := range q.Subjects {
				_, column, _ := strings.Cut(subject, ": ")
				f.add(q.ID, plain(column, columnNumber(s, subject)), subject, open, likeliest(q.Choices, q.Guess))
			}
		case len(q.Choices) > 0:
			f.add(q.ID, "", strings.Join(q.Subjects, ", "), open, likeliest(q.Choices, q.Guess))
		case q.Kind == campaign.AskWeather:
			for _, drive := range q.Subjects {
				at := slices.IndexFunc(s.Drives, func(d campaign.DraftDrive) bool { return d.Name == drive })
				f.lists = append(f.lists, list{control: notebook.TextField(q.ID+", "+drive, ""), id: q.ID, part: plain(drive, at)})
			}
		default:
			f.lists = append(f.lists, list{control: notebook.TextField(q.ID, ""), id: q.ID})
		}
	}
	for _, q := range s.Optional {
		if len(q.Choices) == 0 {
			continue
		}
		choices := make([]string, len(q.Choices))
		ids := map[string]string{}
		for i, c := range q.Choices {
			choices[i] = readable(c)
			ids[choices[i]] = c
		}
		f.add(q.ID, "", string(q.Kind), "as usual: "+readable(q.Guess), choices)
		f.lists[len(f.lists)-1].ids = ids
	}
	f.preview()
	return f, nil
}

func (f *Form) add(id, part, name, keep string, choices []string) {
	c, err := notebook.Choice(name, append([]string{keep}, choices...)...)
	if err == nil { // it fails for no choices, and there is one
		f.lists = append(f.lists, list{control: c, id: id, part: part, keep: keep})
	}
}

// plain is how an answer names a drive or column: by its name, or by its number
// from 1 where the name has signs that divide answers.
func plain(name string, at int) string {
	if at >= 0 && strings.ContainsAny(name, ",=") {
		return strconv.Itoa(at + 1)
	}
	return name
}

// columnNumber is the place of a column among those of its device; −1 if it is
// not found.
func columnNumber(s *campaign.Sketch, subject string) int {
	for _, d := range s.Devices {
		for i, c := range d.Columns {
			if d.Name+": "+c.Name == subject {
				return i
			}
		}
	}
	return -1
}

// likeliest puts the guess first. One about several subjects at once is none of
// the choices.
func likeliest(choices []string, guess string) []string {
	if !slices.Contains(choices, guess) {
		return choices
	}
	return append([]string{guess}, slices.DeleteFunc(slices.Clone(choices), func(c string) bool { return c == guess })...)
}

// Answer answers a question by its ID, as the command line does: one answer may
// settle many ("configuration", "1-3=open,4-7=duct", or "1,3,5=open,2,4=duct").
// It fails where there is no such question, or where the answer can't be used,
// and keeps nothing then.
func (f *Form) Answer(id, value string) error {
	f.mu.Lock()
	before := f.given
	f.given = append(slices.Clone(before), campaign.DraftAnswer{ID: id, Value: value})
	f.mu.Unlock()
	err := f.renew()
	if err != nil {
		f.mu.Lock()
		f.given = before
		f.mu.Unlock()
	}
	return err
}

// answers are those of the lists, then those given by hand.
func (f *Form) answers() []campaign.DraftAnswer {
	f.mu.Lock()
	given := slices.Clone(f.given)
	f.mu.Unlock()
	var all []campaign.DraftAnswer
	together := map[string]int{}
	for _, l := range f.lists {
		v := strings.TrimSpace(l.control.Value())
		if v == l.keep {
			continue
		}
		if id, other := l.ids[v]; other {
			v = id
		}
		_, written := l.control.(*notebook.TextInput)
		if l.part != "" && (written || l.id == string(campaign.AskConfiguration) || f.shared(l.id)) {
			v = l.part + "=" + v
			if at, there := together[l.id]; there {
				all[at].Value += "," + v
				continue
			}
			together[l.id] = len(all)
		}
		all = append(all, campaign.DraftAnswer{ID: l.id, Value: v})
	}
	return append(all, given...)
}

// shared reports whether several lists answer one question.
func (f *Form) shared(id string) bool {
	n := 0
	for _, l := range f.lists {
		if l.id == id {
			n++
		}
	}
	return n > 1
}

// renew drafts again with the answers so far.
func (f *Form) renew() error {
	s, err := campaign.DraftWith(f.folder, campaign.DraftOptions{Answers: f.answers(), Memory: f.memory})
	if err != nil {
		return err
	}
	f.mu.Lock()
	f.sketch = s
	f.mu.Unlock()
	return nil
}

// Sketch returns the draft with the answers so far.
func (f *Form) Sketch() *campaign.Sketch {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.sketch
}

// Save writes campaign.toml with the answers so far, or brings the one that is
// there up to date; what was answered is not asked again. A cell with it may
// stay. It fails as [campaign.Sketch.Save] does.
func (f *Form) Save() (campaign.Saved, error) {
	if err := f.renew(); err != nil {
		return campaign.Saved{}, err
	}
	return f.Sketch().Save()
}

// Show shows the lists and, below them, the table of what is open; an answer
// drafts again.
func (f *Form) Show() {
	var controls []notebook.Control
	for _, l := range f.lists {
		controls = append(controls, l.control)
	}
	notebook.Interact(func() any {
		if err := f.renew(); err != nil {
			return err
		}
		return f.table()
	}, controls...)
}

// String says what is open.
func (f *Form) String() string {
	s := f.Sketch()
	if len(s.Questions) == 0 {
		return "Nothing is left to ask."
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%d questions are open:", len(s.Questions))
	for _, q := range s.Questions {
		fmt.Fprintf(&b, "\n  %s: %s", q.ID, q.Text)
	}
	return b.String()
}
