package together

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// What is remembered of a drive is not taken for that of another clock, another
// search or another content of its files, be they in an archive.
func TestKeyTellsDrivesApart(t *testing.T) {
	const never = 820_796_000.0 // behind, as a clock that was never set
	dir := t.TempDir()
	log, packed := filepath.Join(dir, "log.csv"), filepath.Join(dir, "logs.zip")
	write := func(path, text string) {
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	write(log, "1")
	write(packed, "1")
	k := clock.Stated(never, 0, 1, time.Time{})
	r := drive.Request{Sources: []drive.Source{{Device: "logger", Files: []string{log, packed + "/log.csv"}, Clock: &k}}}
	seen := map[string]string{}
	for _, c := range []struct {
		what   string
		change func()
	}{
		{"first", func() {}},
		{"uncertainty of a stated clock", func() { k = clock.Stated(never, 0, 2, time.Time{}) }},
		{"when it holds", func() { k.Origin = time.Date(2026, 5, 2, 9, 0, 0, 0, time.UTC) }},
		{"search", func() { r.Clocks.Search = series.Interval{From: never - 10, To: never} }},
		{"wider search", func() { r.Clocks.Search.From = never - 20 }},
		{"a file", func() { write(log, "12") }},
		{"an archive", func() { write(packed, "12") }},
	} {
		c.change()
		key := keyOf(r)
		if key != keyOf(r) {
			t.Errorf("%s: two keys for one drive", c.what)
		}
		if was, ok := seen[key]; ok {
			t.Errorf("%s: the key of %q", c.what, was)
		}
		seen[key] = c.what
	}
}
