package notebook

import (
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"sync"
)

// Control is something a reader can change in the page.
type Control interface {
	Displayer
	// open opens the control's channels through a sink, once.
	open(s CommSink) error
	// onChange registers what is called after a change.
	onChange(func())
	// words says the name and the value.
	words() string
}

// control is what sliders and choices share: a model in the front end, kept
// in step over a comm.
type control struct {
	mu      sync.Mutex
	model   string
	name    string
	state   map[string]any
	comm    Comm
	changed []func()
	// label, which may be nil, stands above the control.
	label *label
	// plain is where the value stands as text; its zero value is nowhere.
	plain Handle
	// received, which may be nil, takes a state with mu held and reports whether
	// it is a new one.
	received func(state map[string]json.RawMessage) bool
	// joined, which may be nil, is called with mu held where a page that was
	// loaded anew takes the control over.
	joined func()
}

// widgetTarget, and the names below, are those of the open Jupyter widget
// protocol. Version 2 puts a model's state into a field "state"; version 1
// front ends read the same fields beside it.
const (
	widgetTarget    = "jupyter.widget"
	widgetModule    = "@jupyter-widgets/controls"
	widgetModuleOld = "jupyter-js-widgets"
	widgetProtocol  = "2.1.0"
)

func (c *control) open(s CommSink) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.comm != nil && !isClosed(c.comm) {
		return nil
	}
	about := map[string]any{"version": widgetProtocol}
	if c.label != nil {
		if err := c.label.open(s); err != nil {
			return fmt.Errorf("control %q: %w", c.name, err)
		}
		about[whileWaiting] = c.label.waiting()
	}
	comm, err := s.OpenComm(widgetTarget, c.openData(), about, c.receive)
	if err != nil {
		return fmt.Errorf("control %q: %w", c.name, err)
	}
	c.comm = comm
	return nil
}

// isClosed reports whether a channel was closed by the other side: the cell that
// opened it ran again.
func isClosed(c Comm) bool {
	k, knows := c.(interface{ Closed() bool })
	return knows && k.Closed()
}

// fullState is the model's state as version 2 wants it.
func (c *control) fullState(module string) map[string]any {
	state := map[string]any{
		"_model_name": c.model + "Model", "_view_name": c.model + "View",
		"_model_module": module, "_view_module": module,
		"_model_module_version": "*", "_view_module_version": "*",
		"description": "",
	}
	maps.Copy(state, c.state)
	return state
}

func (c *control) openData() map[string]any {
	data := c.fullState(widgetModuleOld)
	data["state"] = c.fullState(widgetModule)
	data["buffer_paths"] = []string{}
	return data
}

// receive takes a message from the front end: a changed state, or a wish to
// have the whole state sent.
func (c *control) receive(raw json.RawMessage) {
	var m struct {
		Method   string                     `json:"method"`
		State    map[string]json.RawMessage `json:"state"`
		SyncData map[string]json.RawMessage `json:"sync_data"`
	}
	if json.Unmarshal(raw, &m) != nil {
		return
	}
	switch m.Method {
	case "request_state", "joined":
		// Version 1 front ends ask each control. For others the kernel answers,
		// once it has told the controls.
		c.mu.Lock()
		if c.joined != nil {
			c.joined()
		}
		comm, state := c.comm, maps.Clone(c.state)
		if m.Method == "request_state" {
			state = c.fullState(widgetModuleOld)
		}
		c.mu.Unlock()
		if comm != nil {
			comm.Send(map[string]any{"method": "update", "state": state, "buffer_paths": []string{}})
		}
	case "update", "backbone":
		state := m.State
		if m.Method == "backbone" {
			state = m.SyncData
		}
		c.mu.Lock()
		changed := c.received != nil && c.received(state)
		calls := c.changed
		c.mu.Unlock()
		if changed {
			for _, f := range calls {
				f()
			}
		}
	}
}

// takeValue reads a state's value, and reports whether there was one of v's type.
func takeValue(state map[string]json.RawMessage, v any) bool {
	raw := state["value"]
	return string(raw) != "null" && json.Unmarshal(raw, v) == nil
}

func (c *control) onChange(f func()) {
	c.mu.Lock()
	c.changed = append(c.changed, f)
	c.mu.Unlock()
}

// view names the model of an open control for a front end.
func (c *control) view() map[string]any {
	c.mu.Lock()
	defer c.mu.Unlock()
	return map[string]any{"model_id": c.comm.ID(), "version_major": 2, "version_minor": 0}
}

// FloatSlider is a number that a reader can move between two ends.
type FloatSlider struct {
	control
	low, high, step, value float64
}

// Slider returns a slider for a number between low and high, both included,
// in steps. A front end without sliders shows the plain value.
//
// It fails where the range is empty, the step is not positive or the start
// lies outside.
func Slider(name string, low, high, step, value float64) (*FloatSlider, error) {
	for _, x := range []float64{low, high, step, value} {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return nil, fmt.Errorf("slider %q: a limit, step or value is not a finite number", name)
		}
	}
	if low >= high || step <= 0 || value < low || value > high {
		return nil, fmt.Errorf("slider %q: want low < high, a step above 0 and a value within; have low %g, high %g, step %g, value %g",
			name, low, high, step, value)
	}
	s := &FloatSlider{low: low, high: high, step: step, value: value}
	s.control = control{model: "FloatSlider", name: name, label: newLabel(name), state: map[string]any{
		"min": low, "max": high, "step": step, "value": value,
		"orientation": "horizontal", "readout": true, "continuous_update": false,
		"readout_format": readoutFormat(step),
	}}
	s.received = s.take
	return s, nil
}

// readoutFormat shows as many decimals as the step has.
func readoutFormat(step float64) string {
	decimals := 0
	for x := step; decimals < 6 && math.Abs(x-math.Round(x)) > 1e-9; x *= 10 {
		decimals++
	}
	return fmt.Sprintf(".%df", decimals)
}

func (s *FloatSlider) take(state map[string]json.RawMessage) bool {
	var v float64
	if !takeValue(state, &v) {
		return false
	}
	v = min(max(v, s.low), s.high)
	if v == s.value {
		return false
	}
	s.value = v
	s.state["value"] = v
	return true
}

// Value returns where the slider stands.
func (s *FloatSlider) Value() float64 {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.value
}

// Display shows the slider where there can be one, and returns its value as text
// elsewhere.
func (s *FloatSlider) Display() Bundle { return present(s, &s.control) }

func (s *FloatSlider) words() string {
	return fmt.Sprintf("%s: %g (%g to %g)", s.name, s.Value(), s.low, s.high)
}

// Selection is one of several named options that a reader can choose.
type Selection struct {
	control
	options []string
	index   int
}

// Choice returns a drop-down list of options, the first one chosen. A front
// end without lists shows the plain value.
//
// It fails where there is nothing to choose from.
func Choice(name string, options ...string) (*Selection, error) {
	if len(options) == 0 {
		return nil, fmt.Errorf("choice %q: no options", name)
	}
	s := &Selection{options: options}
	s.control = control{model: "Dropdown", name: name, label: newLabel(name), state: map[string]any{
		"_options_labels": options, "index": 0, "value": options[0],
	}}
	s.received = s.take
	return s, nil
}

// take understands version 2, which sends the index, and version 1, which
// sends the label.
func (s *Selection) take(state map[string]json.RawMessage) bool {
	index := -1
	if json.Unmarshal(state["index"], &index) != nil {
		index = -1
		var label string
		if json.Unmarshal(state["value"], &label) == nil {
			index = slices.Index(s.options, label)
		}
	}
	return index != s.index && s.choose(index)
}

// choose chooses an option by its place, if there is one.
func (s *Selection) choose(index int) bool {
	if index < 0 || index >= len(s.options) {
		return false
	}
	s.index = index
	s.state["index"], s.state["value"] = index, s.options[index]
	return true
}

// Value returns the chosen option.
func (s *Selection) Value() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.options[s.index]
}

// Choose chooses an option as a reader would, and reports whether there is one
// of that name. A list that is shown already does not follow.
func (s *Selection) Choose(option string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.choose(slices.Index(s.options, option))
}

// Index returns the chosen option's place among the options, from 0.
func (s *Selection) Index() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.index
}

// Display shows the list where there can be one, and returns the chosen option as
// text elsewhere.
func (s *Selection) Display() Bundle { return present(s, &s.control) }

func (s *Selection) words() string {
	return fmt.Sprintf("%s: %s (of %s)", s.name, s.Value(), strings.Join(s.options, ", "))
}
