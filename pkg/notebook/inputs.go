package notebook

import (
	"encoding/json"
	"fmt"
	"path/filepath"
	"slices"

	"github.com/bonnetbook/bonnetbook/internal/pathname"
)

// FloatRange is a span of numbers whose ends a reader can move.
type FloatRange struct {
	control
	ends [2]*FloatSlider
}

// RangeSlider returns two sliders under one another, for a span between low and
// high, both included, in steps. A front end without sliders shows the plain
// values.
//
// It fails where the range is empty, the step is not positive, or the span at the
// start is turned round or lies outside.
func RangeSlider(name string, low, high, step, from, to float64) (*FloatRange, error) {
	if from > to {
		return nil, fmt.Errorf("range %q: want from ≤ to; have from %g, to %g", name, from, to)
	}
	r := &FloatRange{control: control{model: "VBox", name: name, label: newLabel(name), state: map[string]any{}}}
	for i, end := range []struct {
		name  string
		value float64
	}{{"from", from}, {"to", to}} {
		s, err := Slider(end.name, low, high, step, end.value)
		if err != nil {
			return nil, fmt.Errorf("range %q: %w", name, err)
		}
		s.label, s.state["description"] = r.label, end.name
		r.ends[i] = s
	}
	// A slider with two handles would do, but the one of the first generation of
	// front ends never tells that it was moved.
	return r, nil
}

// open opens the sliders, and the box that holds them.
func (r *FloatRange) open(s CommSink) error {
	var children []string
	for _, end := range r.ends {
		if err := end.open(s); err != nil {
			return err
		}
		children = append(children, "IPY_MODEL_"+end.comm.ID())
	}
	r.mu.Lock()
	r.state["children"] = children
	r.mu.Unlock()
	return r.control.open(s)
}

func (r *FloatRange) onChange(f func()) {
	for _, end := range r.ends {
		end.onChange(f)
	}
}

// Values returns where the two sliders stand, the lower value first whichever
// has it.
func (r *FloatRange) Values() (from, to float64) {
	a, b := r.ends[0].Value(), r.ends[1].Value()
	return min(a, b), max(a, b)
}

// Display shows the sliders where there can be some, and returns their values as
// text elsewhere.
func (r *FloatRange) Display() Bundle { return present(r, &r.control) }

func (r *FloatRange) words() string {
	from, to := r.Values()
	return fmt.Sprintf("%s: %g to %g (%g to %g)", r.name, from, to, r.ends[0].low, r.ends[0].high)
}

// Toggle is something that a reader can switch on and off.
type Toggle struct {
	control
	on bool
}

// Checkbox returns a box to tick. A front end without boxes shows the plain
// value.
func Checkbox(name string, on bool) *Toggle {
	t := &Toggle{on: on}
	t.control = control{model: "Checkbox", name: name, label: newLabel(name), state: map[string]any{"value": on, "indent": false}}
	t.received = t.take
	return t
}

func (t *Toggle) take(state map[string]json.RawMessage) bool {
	var on bool
	if !takeValue(state, &on) || on == t.on {
		return false
	}
	t.on = on
	t.state["value"] = on
	return true
}

// Value reports whether the box is ticked.
func (t *Toggle) Value() bool {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.on
}

// Display shows the box where there can be one, and returns its value as text
// elsewhere.
func (t *Toggle) Display() Bundle { return present(t, &t.control) }

func (t *Toggle) words() string {
	if t.Value() {
		return t.name + ": yes"
	}
	return t.name + ": no"
}

// TextInput is a line of text that a reader can change.
type TextInput struct {
	control
	text string
}

// TextField returns a field for a line of text. A front end without fields shows
// the plain text.
func TextField(name, text string) *TextInput {
	t := &TextInput{text: text}
	t.control = control{model: "Text", name: name, label: newLabel(name), state: map[string]any{"value": text, "placeholder": "", "continuous_update": false}}
	t.received = t.take
	return t
}

func (t *TextInput) take(state map[string]json.RawMessage) bool {
	var text string
	if !takeValue(state, &text) || text == t.text {
		return false
	}
	t.text = text
	t.state["value"] = text
	return true
}

// Value returns what the field holds.
func (t *TextInput) Value() string {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.text
}

// Display shows the field where there can be one, and returns what it holds as
// text elsewhere.
func (t *TextInput) Display() Bundle { return present(t, &t.control) }

func (t *TextInput) words() string { return t.name + ": " + t.Value() }

// FileChoice returns a drop-down list of the files that a pattern names, such as
// "~/logs/*.csv", in the order of their names.
//
// It fails where the pattern is none of [filepath.Match], and where it names no
// file.
func FileChoice(name, pattern string) (*Selection, error) {
	files, err := filepath.Glob(pathname.Expand(pattern))
	if err != nil {
		return nil, fmt.Errorf("choice %q of files %q: %w", name, pattern, err)
	}
	if len(files) == 0 {
		return nil, fmt.Errorf("choice %q: no file is named like %q", name, pattern)
	}
	slices.Sort(files)
	return Choice(name, files...)
}
