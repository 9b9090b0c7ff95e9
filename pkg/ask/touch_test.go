package ask

import (
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
)

// settled makes a folder's files as old as those of a person are.
func settled(t testing.TB, dir string) {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(dir, "*"))
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range paths {
		if err := os.Chtimes(p, time.Time{}, time.Now().Add(-time.Hour)); err != nil {
			t.Fatal(err)
		}
	}
}

// same compares the draft that a form has with a fresh one.
func same(t *testing.T, f *Form, when string) {
	t.Helper()
	fresh, err := campaign.DraftWith(f.folder, campaign.DraftOptions{Answers: f.answers()})
	if err != nil {
		t.Fatal(err)
	}
	got := f.Sketch()
	for name, pair := range map[string][2]any{
		"text": {got.Text, fresh.Text}, "files": {got.Files, fresh.Files}, "devices": {shown(got), shown(fresh)},
		"drives": {got.Drives, fresh.Drives}, "questions": {got.Questions, fresh.Questions}, "optional": {got.Optional, fresh.Optional},
		"needs": {got.Needs, fresh.Needs}, "units": {got.Units, fresh.Units},
	} {
		if !reflect.DeepEqual(pair[0], pair[1]) {
			t.Errorf("%s: the %s are\n%v\nand of a fresh draft\n%v", when, name, pair[0], pair[1])
		}
	}
}

// shown is what the form shows of the devices: a NaN is not equal to itself.
func shown(s *campaign.Sketch) string {
	return fmt.Sprintf("%+v", s.Devices)
}

// A touched list gives what a fresh draft gives, and does not read again what
// did not change; a file that did is read.
func TestTouchIsAFreshDraft(t *testing.T) {
	dir := demo(t)
	// A file that leaves its unit open is read a second time once that is told.
	var b strings.Builder
	b.WriteString("Date,Time,Oil\n")
	for i := range 200 {
		b.WriteString(time.Date(2026, 6, 6, 9, 30, 2*i, 0, time.UTC).Format("2006-01-02,15:04:05") + "," + []string{"61.5", "62.0", "63.5"}[i%3] + "\n")
	}
	if err := os.WriteFile(filepath.Join(dir, "oil.csv"), []byte(b.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	settled(t, dir)
	f, err := Draft(dir, "open filters", "duct")
	if err != nil {
		t.Fatal(err)
	}
	same(t, f, "untouched")
	for i, d := range f.Sketch().Drives {
		choose(t, f, d.Name, []string{"open filters", "duct"}[i%2])
	}
	units := 0
	for _, q := range f.Sketch().Questions {
		if q.Kind == campaign.AskUnit {
			choose(t, f, q.ID, q.Choices[1])
			units++
		}
	}
	if units != 1 {
		t.Fatalf("%d questions about a unit, want that of oil.csv", units)
	}
	for range 2 {
		if err := f.renew(); err != nil {
			t.Fatal(err)
		}
		same(t, f, "touched")
	}
	path := filepath.Join(dir, "open-1-logger-a.csv")
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, data[:len(data)/2], 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Remove(filepath.Join(dir, "oil.csv")); err != nil {
		t.Fatal(err)
	}
	f.lists = f.lists[:0]
	if err := f.renew(); err != nil {
		t.Fatal(err)
	}
	same(t, f, "after a file was changed and one was taken away")
}

// BenchmarkTouch is what an answer in a list costs.
func BenchmarkTouch(b *testing.B) {
	dir := demo(b)
	settled(b, dir)
	f, err := Draft(dir)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if err := f.renew(); err != nil {
			b.Fatal(err)
		}
	}
}
