package session

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// A control that is moved while a cell runs says on the page that it waits, and
// says so no longer once it was heard; a page loaded anew in between gets the name
// alone.
func TestMovedWhileACellRuns(t *testing.T) {
	const limit = 60 * time.Second
	k := startInterpreted(t)
	id, reply := k.run("import . \"github.com/bonnetbook/bonnetbook/pkg/notebook\"\nimport (\"os\"; \"time\")\n"+
		"s := Must(Slider(\"gap <mm>\", 0, 100, 1, 2))\nInteract(func() any { return s.Value() * 10 }, s)", limit)
	if reply["status"] != "ok" {
		t.Fatal(reply)
	}
	slider, label := k.opened(id, "FloatSliderModel"), k.opened(id, "HTMLModel")
	stop := filepath.Join(t.TempDir(), "stop")
	running := k.send("execute_request", map[string]any{"code": fmt.Sprintf(
		"Show(\"running\")\nfor {\n\tif _, err := os.Stat(%q); err == nil {\n\t\tbreak\n\t}\n\ttime.Sleep(time.Millisecond)\n}", stop)})
	if _, ok := k.until(running, limit, func(h heard) bool { return h.kind == "display_data" }); !ok {
		t.Fatal("the cell does not run")
	}
	said := func(parent, what string) bool {
		t.Helper()
		_, ok := k.until(parent, limit, func(h heard) bool {
			return h.kind == "comm_msg" && h.content["comm_id"] == label && strings.Contains(fmt.Sprint(h.content["data"]), what)
		})
		return ok
	}
	var moves []string
	for _, value := range []int{5, 7} {
		moves = append(moves, k.send("comm_msg", map[string]any{"comm_id": slider,
			"data": map[string]any{"method": "update", "state": map[string]any{"value": value}}}))
	}
	if !said(running, "value:gap &lt;mm&gt; <span") {
		t.Fatal("nothing says that the change waits")
	}
	if text := fmt.Sprint(k.published(running, "update_display_data")); strings.Contains(text, "50") {
		t.Errorf("drawn beside the cell that runs: %s", text)
	}
	if err := os.WriteFile(stop, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	k.answer(running, limit)
	for i, m := range moves {
		k.answer(m, limit)
		if text := fmt.Sprint(k.published(m, "update_display_data")); !strings.Contains(text, []string{"50", "70"}[i]) {
			t.Errorf("move %d draws %s", i, text)
		}
	}
	if strings.Contains(fmt.Sprint(k.published(moves[0], "comm_msg")), "gap") {
		t.Error("the first of two moves ends the waiting")
	}
	if !said(moves[1], "value:gap &lt;mm&gt;]") {
		t.Errorf("after the last move the label says %v", k.published(moves[1], "comm_msg"))
	}
	late := k.send("comm_msg", map[string]any{"comm_id": slider, "data": map[string]any{"method": "update", "state": map[string]any{"value": 9}}})
	k.answer(late, limit)
	if strings.Contains(fmt.Sprint(k.published(late, "comm_msg")), "waits") {
		t.Error("a move while nothing runs is said to wait")
	}
}

// A move that is being drawn when the next one has to wait does not end that one's
// waiting.
func TestMovedWhileAMoveIsDrawn(t *testing.T) {
	const limit = 60 * time.Second
	k := startInterpreted(t)
	dir := t.TempDir()
	id, reply := k.run("import . \"github.com/bonnetbook/bonnetbook/pkg/notebook\"\nimport (\"fmt\"; \"os\"; \"time\")\n"+
		"wait := func(name string) {\n\tfor {\n\t\tif _, err := os.Stat(name); err == nil {\n\t\t\treturn\n\t\t}\n\t\ttime.Sleep(time.Millisecond)\n\t}\n}\n"+
		fmt.Sprintf("s := Must(Slider(\"gap\", 0, 100, 1, 2))\nInteract(func() any {\n\tif s.Value() == 5 {\n\t\tShow(\"drawing\")\n\t\twait(%q)\n\t}\n\treturn s.Value() * 10\n}, s)", filepath.Join(dir, "drawn")), limit)
	if reply["status"] != "ok" {
		t.Fatal(reply)
	}
	slider, label := k.opened(id, "FloatSliderModel"), k.opened(id, "HTMLModel")
	move := func(value int) string {
		return k.send("comm_msg", map[string]any{"comm_id": slider, "data": map[string]any{"method": "update", "state": map[string]any{"value": value}}})
	}
	labels := func(h heard) bool { return h.kind == "comm_msg" && h.content["comm_id"] == label }
	first := move(5)
	if _, ok := k.until(first, limit, func(h heard) bool { return h.kind == "display_data" }); !ok {
		t.Fatal("the first move is not drawn")
	}
	cell := k.send("execute_request", map[string]any{"code": fmt.Sprintf("wait(%q)", filepath.Join(dir, "cell"))})
	second := move(7)
	if _, ok := k.until(first, limit, labels); !ok { // told while the first is drawn
		t.Fatal("nothing says that the second move waits")
	}
	for _, name := range []string{"drawn", "cell"} {
		if err := os.WriteFile(filepath.Join(dir, name), nil, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	k.answer(first, limit)
	k.answer(cell, limit)
	k.answer(second, limit)
	told := 0
	for _, m := range k.published(first, "comm_msg") {
		if labels(m) {
			told++
		}
	}
	if told != 1 {
		t.Errorf("while the first move is drawn the label changes %d times, want once: the second one waits", told)
	}
	if _, ok := k.until(second, limit, labels); !ok {
		t.Error("after the second move the label still says that it waits")
	}
}
