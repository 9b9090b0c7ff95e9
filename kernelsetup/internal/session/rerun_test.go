package session

import (
	"fmt"
	"strings"
	"testing"
	"time"
)

// A cell that runs again closes the channels of its controls before; those of
// other cells stay, and what is shown anew gets a channel of its own.
func TestRunningAgainLeavesNoChannel(t *testing.T) {
	const limit = 60 * time.Second
	k := startInterpreted(t)
	run := func(code string) string {
		t.Helper()
		id, reply := k.run(code, limit)
		if reply["status"] != "ok" {
			t.Fatalf("%s: %v", code, reply)
		}
		return id
	}
	open := func() int {
		t.Helper()
		all, _ := k.answer(k.send("comm_info_request", map[string]any{"target_name": "jupyter.widget"}), limit)["comms"].(map[string]any)
		return len(all)
	}
	run(`import . "github.com/bonnetbook/bonnetbook/pkg/notebook"`)
	other := run("other := Must(Slider(\"other\", 0, 10, 1, 2))\nInteract(func() any { return other.Value() * 100 }, other)")
	const cell = "s := Must(Slider(\"s\", 0, 10, 1, 2))\nspan := Must(RangeSlider(\"span\", 0, 10, 1, 2, 5))\nInteract(func() any { return s.Value() * 10 }, s, span)"
	last := ""
	for range 10 {
		last = run(cell)
	}
	if n := open(); n != 10 { // other, its label and picture; s, both ends of span, their box, two labels, and the picture
		t.Errorf("%d channels are open after ten runs, want 10", n)
	}
	if closed := k.published(last, "comm_close"); len(closed) != 7 {
		t.Errorf("the last run closed %d channels, want the 7 of the one before", len(closed))
	}
	move := func(id string) string {
		t.Helper()
		channel := k.opened(id, "FloatSliderModel")
		moved := k.send("comm_msg", map[string]any{"comm_id": channel, "data": map[string]any{"method": "update", "state": map[string]any{"value": 7}}})
		k.answer(moved, limit)
		return fmt.Sprint(k.published(moved, "update_display_data"))
	}
	if text := move(last); !strings.Contains(text, "70") {
		t.Errorf("moved, the new slider draws %s", text)
	}
	if text := move(other); !strings.Contains(text, "700") {
		t.Errorf("moved, the other cell's slider draws %s", text)
	}
	// A control that another cell shows lives on where that cell runs again.
	run("plain := Must(Slider(\"plain\", 0, 10, 1, 2))")
	for range 3 {
		if id := run("Show(plain)"); len(k.published(id, "comm_open")) != 2 {
			t.Error("shown again, the slider and its label have no channels")
		}
	}
	if n := open(); n != 12 {
		t.Errorf("%d channels are open, want 12", n)
	}
}

// opened is the channel of the first model of a name that a cell opened.
func (k *talk) opened(id, model string) any {
	for _, m := range k.published(id, "comm_open") {
		if data, ok := m.content["data"].(map[string]any); ok && data["_model_name"] == model {
			return m.content["comm_id"]
		}
	}
	return nil
}

// A page that is loaded anew gets the picture that belongs to the controls with
// their states, and every later one, over fifty moves.
func TestPageLoadedAnew(t *testing.T) {
	const limit = 60 * time.Second
	k := startInterpreted(t)
	id, reply := k.run("import . \"github.com/bonnetbook/bonnetbook/pkg/notebook\"\ns := Must(Slider(\"s\", 0, 1000, 1, 2))\nInteract(func() any { return s.Value() * 1000 }, s)", limit)
	if reply["status"] != "ok" {
		t.Fatal(reply)
	}
	opened := k.published(id, "comm_open")
	if len(opened) != 3 {
		t.Fatalf("%d channels, want the slider's, its label's and the picture's", len(opened))
	}
	move := func(value int) string {
		moved := k.send("comm_msg", map[string]any{"comm_id": k.opened(id, "FloatSliderModel"),
			"data": map[string]any{"method": "update", "state": map[string]any{"value": value}}})
		k.answer(moved, limit)
		return fmt.Sprint(k.published(moved, "comm_msg"))
	}
	if text := move(3); strings.Contains(text, "3000") {
		t.Errorf("before, the picture stands twice: %s", text)
	}
	k.answer(k.send("comm_open", map[string]any{"comm_id": "new page", "target_name": "jupyter.widget.control", "data": map[string]any{}}), limit)
	states := k.send("comm_msg", map[string]any{"comm_id": "new page", "data": map[string]any{"method": "request_states"}})
	k.answer(states, limit)
	if text := fmt.Sprint(k.published(states, "comm_msg")); !strings.Contains(text, "update_states") || !strings.Contains(text, "3000") {
		t.Errorf("a new page hears %s", text)
	}
	for n := range 50 {
		if text := move(10 + n); !strings.Contains(text, fmt.Sprint((10+n)*1000)) {
			t.Fatalf("at %d the new page hears %s", 10+n, text)
		}
	}
}
