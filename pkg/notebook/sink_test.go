package notebook

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"
)

// page is a front end that records.
type page struct {
	events []string
	last   map[string]Bundle
	comms  map[string]*pageComm
	deaf   bool // comms cannot be opened
}

type pageComm struct {
	id      string
	target  string
	open    map[string]any
	sent    []map[string]any
	receive func(json.RawMessage)
}

func newPage(t *testing.T) *page {
	p := &page{last: map[string]Bundle{}, comms: map[string]*pageComm{}}
	previous := SetSink(p)
	t.Cleanup(func() { SetSink(previous) })
	return p
}

func (p *page) Display(b Bundle, id string) {
	p.events = append(p.events, "display "+b.Text())
	p.last[id] = b
}
func (p *page) Update(b Bundle, id string) {
	p.events = append(p.events, "update "+b.Text())
	p.last[id] = b
}
func (p *page) Clear(wait bool) { p.events = append(p.events, fmt.Sprint("clear ", wait)) }

func (p *page) OpenComm(target string, data, metadata any, receive func(json.RawMessage)) (Comm, error) {
	if p.deaf {
		return nil, errors.New("nobody listens")
	}
	c := &pageComm{id: fmt.Sprint("comm", len(p.comms)), target: target, receive: receive}
	raw, _ := json.Marshal(data)
	json.Unmarshal(raw, &c.open)
	p.comms[c.id] = c
	return c, nil
}

func (c *pageComm) ID() string { return c.id }
func (c *pageComm) Send(data any) error {
	raw, _ := json.Marshal(data)
	var m map[string]any
	json.Unmarshal(raw, &m)
	c.sent = append(c.sent, m)
	return nil
}
func (c *pageComm) Close() error { return nil }

func TestShow(t *testing.T) {
	p := newPage(t)
	Show(1)
	Show()
	Show(Markdown("**a**"), Table([]reading{{"bay", 1, 0}}))
	h := ShowLive("first")
	h.Update("second")
	Clear(true)
	want := []string{"display 1", "display **a**\nSensor   Value\nbay     1.0 °C", `display "first"`, `update "second"`, "clear true"}
	if !slices.Equal(p.events, want) {
		t.Errorf("events %q\nwant   %q", p.events, want)
	}
	if b := p.last[""]; !strings.Contains(b.HTML(), "<table>") || !strings.Contains(b.HTML(), "flex") {
		t.Errorf("side by side: %s", b.HTML())
	}
}

func TestOutsideAKernelTextIsPrinted(t *testing.T) {
	var b bytes.Buffer
	defer SetSink(SetSink(WriterSink(&b)))
	Show(degrees(82))
	h := ShowLive(1)
	h.Update(2)
	for range Steps("counting", 3) {
	}
	s, err := Slider("gap", 0, 1, 0.1, 0.5)
	if err != nil {
		t.Fatal(err)
	}
	Interact(func() any { return s.Value() * 2 }, s)
	if want := "82.0 °C\n1\ncounting: 3 of 3\ngap: 0.5 (0 to 1)\n1\n"; b.String() != want {
		t.Errorf("printed\n%s\nwant\n%s", b.String(), want)
	}
}

func TestProgressUpdatesInPlace(t *testing.T) {
	p := newPage(t)
	bar := NewProgress("resampling", 4)
	bar.started = time.Now().Add(-10 * time.Second)
	bar.Advance(1)
	bar.shown = time.Time{}
	bar.Advance(2)
	bar.Advance(1) // too soon to be shown
	bar.Done()
	bar.Done()
	if len(p.events) != 3 || len(p.last) != 1 {
		t.Fatalf("events %q", p.events)
	}
	if !strings.HasPrefix(p.events[0], "display ") || !strings.Contains(p.events[0], "about 30 s left") {
		t.Errorf("first event %q", p.events[0])
	}
	if !strings.HasPrefix(p.events[1], "update ") || !strings.Contains(p.events[1], "3 of 4") {
		t.Errorf("second event %q", p.events[1])
	}
	if p.events[2] != "update resampling: 4 of 4" {
		t.Errorf("last event %q", p.events[2])
	}
}

func TestSliderRedraws(t *testing.T) {
	p := newPage(t)
	s, err := Slider("gap", 0, 10, 1, 2)
	if err != nil {
		t.Fatal(err)
	}
	list, err := Choice("kind", "short", "long")
	if err != nil {
		t.Fatal(err)
	}
	Interact(func() any { return fmt.Sprint(list.Value(), " ", s.Value()) }, s, list)
	slider, dropdown := p.comms[s.comm.ID()], p.comms[list.comm.ID()]
	state := slider.open["state"].(map[string]any)
	if slider.target != "jupyter.widget" || state["_model_name"] != "FloatSliderModel" ||
		state["_model_module"] != "@jupyter-widgets/controls" || state["max"] != 10.0 {
		t.Errorf("slider opened with %v", slider.open)
	}
	// The front end of the first generation looks beside "state".
	if slider.open["_model_module"] != "jupyter-js-widgets" || slider.open["value"] != 2.0 {
		t.Errorf("slider opened with %v", slider.open)
	}
	for _, m := range []struct {
		comm *pageComm
		data string
	}{
		{slider, `{"method":"update","state":{"value":7}}`},
		{slider, `{"method":"update","state":{"value":7}}`},         // nothing new
		{slider, `{"method":"backbone","sync_data":{"value":99}}`},  // clipped to 10
		{slider, `{"method":"update","state":{"description":"x"}}`}, // not ours
		{slider, `rubbish`}, // ignored
		{dropdown, `{"method":"update","state":{"index":1}}`},             // second generation
		{dropdown, `{"method":"backbone","sync_data":{"value":"short"}}`}, // first
		{dropdown, `{"method":"update","state":{"index":5}}`},             // out of range
	} {
		m.comm.receive(json.RawMessage(m.data))
	}
	// Each control is its label, itself, and its plain value; then come the picture
	// for a page loaded anew and the picture.
	want := []string{"display ", "display ", "display gap: 2 (0 to 10)", "display ", "display ", "display kind: short (of short, long)", "display ", `display "short 2"`,
		"update gap: 7 (0 to 10)", `update "short 7"`, "update gap: 10 (0 to 10)", `update "short 10"`,
		"update kind: long (of short, long)", `update "long 10"`, "update kind: short (of short, long)", `update "short 10"`}
	if !slices.Equal(p.events, want) {
		t.Errorf("events %q\nwant   %q", p.events, want)
	}
	slider.receive(json.RawMessage(`{"method":"request_state"}`))
	if n := len(slider.sent); n != 1 || slider.sent[0]["state"].(map[string]any)["value"] != 10.0 {
		t.Errorf("asked for its state, the slider sent %v", slider.sent)
	}
}

func TestControlsWithoutAFrontEnd(t *testing.T) {
	p := newPage(t)
	p.deaf = true
	s, _ := Slider("gap", 0, 10, 1, 2)
	Show(s)
	if b := p.last[""]; len(b) != 2 || b.Text() != "gap: 2 (0 to 10)" || b[MIMEControl] == nil {
		t.Errorf("shown as %v", b)
	}
}

func TestControlsRefuseNonsense(t *testing.T) {
	nan := 0.0
	nan /= nan
	for _, v := range [][4]float64{{1, 0, 1, 0}, {0, 1, 0, 0}, {0, 1, 0.1, 2}, {0, nan, 1, 0}, {0, 1, nan, 0}} {
		if _, err := Slider("gap", v[0], v[1], v[2], v[3]); err == nil || !strings.Contains(err.Error(), `"gap"`) {
			t.Errorf("slider %v: %v", v, err)
		}
	}
	if _, err := Choice("none"); err == nil {
		t.Error("choice without options accepted")
	}
}
