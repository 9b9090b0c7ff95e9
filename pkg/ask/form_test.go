package ask

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// demo copies the demo's logs into a folder; its columns are called so that
// their places have to be asked.
func demo(t testing.TB) string {
	t.Helper()
	from, dir := filepath.Join("..", "..", "testdata", "demo"), t.TempDir()
	entries, err := os.ReadDir(from)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if strings.HasSuffix(e.Name(), ".toml") {
			continue
		}
		data, err := os.ReadFile(filepath.Join(from, e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, e.Name()), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// choose does what a reader does with a list.
func choose(t *testing.T, f *Form, name, value string) {
	t.Helper()
	for _, l := range f.lists {
		if l.part == name || l.part == "" && l.id == name {
			if c, ok := l.control.(*notebook.Selection); !ok || !c.Choose(value) {
				t.Fatalf("%s has no option %q", name, value)
			}
			return
		}
	}
	t.Fatalf("there is no list for %q", name)
}

// Lists answer as the command line does, answers are kept, and what was
// answered is not asked again.
func TestForm(t *testing.T) {
	dir := demo(t)
	f, err := Draft(dir, "open filters", "duct")
	if err != nil {
		t.Fatal(err)
	}
	first := f.Sketch()
	if len(first.Questions) == 0 || len(f.lists) < len(first.Drives) {
		t.Fatalf("%d questions, %d lists", len(first.Questions), len(f.lists))
	}
	for i, d := range first.Drives {
		choose(t, f, d.Name, []string{"open filters", "duct"}[i%2])
	}
	choose(t, f, string(campaign.AskPrimary), "road fast")
	for _, q := range first.Questions {
		if q.Kind != campaign.AskRole {
			continue
		}
		for _, s := range q.Subjects {
			if !strings.Contains(f.table().Display()[notebook.MIMEHTML].(string), "<polyline") {
				t.Errorf("no preview for %s", s)
			}
			_, column, _ := strings.Cut(s, ": ")
			choose(t, f, column, "ignore")
		}
	}
	if saved, err := f.Save(); err != nil || !saved.Written {
		t.Fatalf("%v, %v", saved, err)
	}
	if left := f.Sketch().Questions; len(left) > 0 {
		t.Errorf("still open: %v", left)
	}
	text, err := os.ReadFile(filepath.Join(dir, "campaign.toml"))
	if err != nil || !strings.Contains(string(text), `primary = "road_fast"`) || !strings.Contains(string(text), `configuration = "duct"`) {
		t.Errorf("%v:\n%s", err, text)
	}
	again, err := Draft(dir)
	if err != nil {
		t.Fatal(err)
	}
	if n := len(again.Sketch().Questions); n > 0 {
		t.Errorf("%d questions are asked again: %v", n, again)
	}
	if saved, err := again.Save(); err != nil || saved.Written {
		t.Errorf("a kept cell: %v, %v", saved, err)
	}
}

// One answer settles many drives.
func TestAnswer(t *testing.T) {
	f, err := Draft(demo(t))
	if err != nil {
		t.Fatal(err)
	}
	if err := f.Answer("configuration", "1-3=open,4-6=duct"); err != nil {
		t.Fatal(err)
	}
	for i, d := range f.Sketch().Drives {
		if want := []string{"open", "duct"}[i/3]; d.Configuration != want {
			t.Errorf("drive %d: %q, want %q", i+1, d.Configuration, want)
		}
	}
	if err := f.Answer("configuration", "9=open"); err == nil {
		t.Error("a drive that is not there")
	}
	if err := f.renew(); err != nil {
		t.Errorf("a refused answer was kept: %v", err)
	}
}

// Each drive whose outside temperature no probe shows has a field to write into;
// what stands there answers for that drive.
func TestOutsideAir(t *testing.T) {
	dir := t.TempDir()
	for day := 14; day < 16; day++ {
		text := "Time,Intake (°C),Coolant (°C)\n"
		for i := range 60 {
			text += fmt.Sprintf("2026-05-%d 09:00:%02d,%d,%d\n", day, i, 20+i/6, 16+i)
		}
		if err := os.WriteFile(filepath.Join(dir, fmt.Sprintf("run%d.csv", day)), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	f, err := Draft(dir, "open")
	if err != nil {
		t.Fatal(err)
	}
	fields := 0
	for i, l := range f.lists {
		if l.id == "air-temperature" {
			fields++
			f.lists[i].control = notebook.TextField(l.id, fmt.Sprintf("%d degC", 10+fields))
		}
	}
	if err := f.renew(); err != nil || fields != 2 {
		t.Fatalf("%v, %d fields", err, fields)
	}
	if text := f.Sketch().Text; !strings.Contains(text, `air-temperature = "11 degC"`) || !strings.Contains(text, `air-temperature = "12 degC"`) {
		t.Errorf("%s", text)
	}
}
