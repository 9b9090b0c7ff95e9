package notebook

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// moved sends a front end's message to a control.
func moved(p *page, c Comm, value string) {
	p.comms[c.ID()].receive(json.RawMessage(`{"method":"update","state":{"value":` + value + `}}`))
}

// Each control takes what a reader does, and nothing that is none of its values;
// fifty moves later it and what is drawn agree.
func TestInputsFollowTheReader(t *testing.T) {
	p := newPage(t)
	span, err := RangeSlider("speed", 0, 120, 10, 20, 60)
	if err != nil {
		t.Fatal(err)
	}
	drawn := ""
	Interact(func() any { from, to := span.Values(); drawn = format(from, to); return drawn }, span)
	box := p.comms[span.comm.ID()].open
	if box["_model_name"] != "VBoxModel" || format(box["children"].([]any)[0], box["children"].([]any)[1]) != `"IPY_MODEL_`+span.ends[0].comm.ID()+`" "IPY_MODEL_`+span.ends[1].comm.ID()+`"` {
		t.Errorf("opened with %v", box)
	}
	move := func(end int, value string) {
		moved(p, span.ends[end].comm, value)
	}
	for i := range 50 {
		move(i%2, format2(float64(10*(i%12))))
		if a, b := span.Values(); drawn != format(a, b) || a > b {
			t.Fatalf("after %d moves: %v to %v, drawn %s", i+1, a, b, drawn)
		}
	}
	move(0, "110")
	move(1, "30")
	if a, b := span.Values(); a != 30 || b != 110 {
		t.Errorf("turned round: %v to %v", a, b)
	}
	move(0, "-50")
	move(1, "500")
	move(1, `"x"`)
	move(1, `null`)
	if a, b := span.Values(); a != 0 || b != 120 {
		t.Errorf("beyond the ends: %v to %v", a, b)
	}
	tick := Checkbox("with ram", false)
	calls := 0
	Interact(func() any { calls++; return tick.Value() }, tick)
	for _, v := range []string{"true", "true", `"yes"`, "null", "false"} {
		moved(p, tick.comm, v)
	}
	if tick.Value() || calls != 3 { // the start, on, off
		t.Errorf("ticked %v after %d drawings", tick.Value(), calls)
	}
	field := TextField("name", "first run")
	Interact(func() any { return field.Value() }, field)
	moved(p, field.comm, `"second run"`)
	moved(p, field.comm, `null`)
	moved(p, field.comm, `7`)
	if field.Value() != "second run" || !strings.Contains(p.events[len(p.events)-1], "second run") {
		t.Errorf("%q; last shown: %s", field.Value(), p.events[len(p.events)-1])
	}
}

func format(a, b any) string {
	raw, _ := json.Marshal([]any{a, b})
	return strings.Trim(strings.ReplaceAll(string(raw), ",", " "), "[]")
}

func format2(a float64) string {
	raw, _ := json.Marshal(a)
	return string(raw)
}

func TestInputsRefuseNonsense(t *testing.T) {
	newPage(t)
	for _, v := range [][5]float64{{10, 0, 1, 2, 3}, {0, 10, 0, 2, 3}, {0, 10, 1, -1, 3}, {0, 10, 1, 3, 11}, {0, 10, 1, 5, 3}} {
		if _, err := RangeSlider("speed", v[0], v[1], v[2], v[3], v[4]); err == nil || !strings.Contains(err.Error(), `"speed"`) {
			t.Errorf("%v: %v", v, err)
		}
	}
	dir := t.TempDir()
	for _, name := range []string{"b.csv", "a.csv", "c.txt"} {
		if err := os.WriteFile(filepath.Join(dir, name), nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	s, err := FileChoice("log", filepath.Join(dir, "*.csv"))
	if err != nil || filepath.Base(s.Value()) != "a.csv" || len(s.options) != 2 {
		t.Errorf("%v, %v", s, err)
	}
	for _, pattern := range []string{filepath.Join(dir, "*.xls"), "["} {
		if _, err := FileChoice("log", pattern); err == nil || !strings.Contains(err.Error(), `"log"`) {
			t.Errorf("%s: %v", pattern, err)
		}
	}
}

// A page that is loaded anew gets what was drawn last beside the controls; until
// then nothing stands there.
func TestPictureJoinsALatePage(t *testing.T) {
	p := newPage(t)
	s, err := Slider("gap", 0, 10, 1, 2)
	if err != nil {
		t.Fatal(err)
	}
	Interact(func() any { return s.Value() * 100 }, s)
	var shown *pageComm
	for _, c := range p.comms {
		if c.open["_model_name"] == "HTMLModel" && c.id != s.label.comm.ID() {
			shown = c
		}
	}
	moved(p, s.comm, "3")
	if len(shown.sent) != 0 || shown.open["value"] != "" || shown.open["_model_name"] != "HTMLModel" {
		t.Fatalf("before a page came late: %v, sent %v", shown.open, shown.sent)
	}
	value := func() string {
		last := shown.sent[len(shown.sent)-1]["state"].(map[string]any)
		return last["value"].(string)
	}
	for _, how := range []string{"joined", "request_state"} {
		shown.receive(json.RawMessage(`{"method":"` + how + `"}`))
		if v := value(); !strings.Contains(v, "300") || !strings.Contains(v, "loaded anew") {
			t.Errorf("%s: %q", how, v)
		}
	}
	moved(p, s.comm, "4")
	if v := value(); !strings.Contains(v, "400") || strings.Contains(v, "300") {
		t.Errorf("moved then: %q", v)
	}
}
