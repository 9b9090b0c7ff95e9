package recording_test

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/recording"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// growing is one log of three drives, 100 rows each, with a header before each
// or only before the first.
func growing(repeats bool, starts ...time.Time) string {
	var b strings.Builder
	for i, start := range starts {
		if i == 0 || repeats {
			b.WriteString("Time,T1 (°C),T2 (°C)\n")
		}
		for k := range 100 {
			fmt.Fprintf(&b, "%s,%.1f,%.1f\n", start.Add(time.Duration(2*k)*time.Second).Format("2006-01-02 15:04:05"), 20+float64(k)/10+float64(i), 30+float64(k)/10)
		}
	}
	return b.String()
}

// One growing log is many drives: sessions days apart, hours apart, and with a
// clock that was set back by months. Every line belongs to one session.
func TestSessions(t *testing.T) {
	day := time.Date(2026, 5, 13, 9, 0, 0, 0, time.UTC)
	for name, starts := range map[string][]time.Time{
		"days apart":   {day, day.Add(26 * time.Hour), day.Add(75 * time.Hour)},
		"weeks apart":  {day, day.Add(12 * 24 * time.Hour), day.Add(30 * 24 * time.Hour)},
		"hours apart":  {day, day.Add(2 * time.Hour), day.Add(5 * time.Hour)},
		"clock set on": {day, day.Add(-90 * 24 * time.Hour), day.Add(time.Hour)},
	} {
		for _, repeats := range []bool{true, false} {
			r, err := recording.Read("LOG.csv", strings.NewReader(growing(repeats, starts...)), recording.Options{})
			if err != nil {
				t.Fatal(name, err)
			}
			all := r.Sessions()
			if len(all) != 3 {
				t.Errorf("%s, header repeated %v: %d sessions", name, repeats, len(all))
				continue
			}
			lines, read := 0, 0
			for i, s := range all {
				lines, read = lines+s.Account.Lines, read+s.Account.Read
				c := s.Columns[0].Series
				if !s.Start.Equal(starts[i]) || s.Rows() != 100 || c.Len() != 100 || c.Time[0] != 0 || math.Abs(c.Time[99]-198) > 1e-6 || math.Abs(c.Value[0]-(293.15+float64(i))) > 1e-9 || !c.Start.Equal(starts[i]) {
					t.Errorf("%s, session %d: from %v, %d rows, %v to %v s, first %v", name, i+1, s.Start, s.Rows(), c.Time[0], c.Time[c.Len()-1], c.Value[0])
				}
			}
			if lines != r.Account.Lines || read != r.Account.Read || read != 300 {
				t.Errorf("%s: %d of %d lines, %d of %d read", name, lines, r.Account.Lines, read, r.Account.Read)
			}
		}
	}
	// A stop of five minutes is no new session, nor is a page's repeated header.
	r, err := recording.Read("LOG.csv", strings.NewReader(growing(true, day, day.Add(500*time.Second))), recording.Options{})
	if err != nil || len(r.Sessions()) != 1 || r.Sessions()[0] != r {
		t.Errorf("%v, %d sessions", err, len(r.Sessions()))
	}
}

// The same table packed in every way that is read has the same values.
func TestPacked(t *testing.T) {
	text := growing(false, time.Date(2026, 5, 13, 9, 0, 0, 0, time.UTC))
	dir := t.TempDir()
	put := func(name string, data []byte) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, data, 0o644); err != nil {
			t.Fatal(err)
		}
		return path
	}
	var gz, one, two bytes.Buffer
	g := gzip.NewWriter(&gz)
	g.Write([]byte(text))
	g.Close()
	pack := func(w *bytes.Buffer, names ...string) {
		z := zip.NewWriter(w)
		for _, n := range names {
			f, err := z.Create(n)
			if err != nil {
				t.Fatal(err)
			}
			f.Write([]byte(text))
		}
		z.Close()
	}
	pack(&one, "a/LOG.csv")
	pack(&two, "LOG1.csv", "LOG2.csv", "__MACOSX/LOG1.csv")
	for _, path := range []string{put("LOG.csv", []byte(text)), put("LOG.csv.gz", gz.Bytes()), put("one.zip", one.Bytes()), put("two.zip", two.Bytes()) + "/LOG2.csv"} {
		r, err := recording.Open(path, recording.Options{})
		if err != nil || r.Rows() != 100 || r.Account.Lines != 101 || math.Abs(r.Columns[1].Series.Value[99]-(273.15+39.9)) > 1e-9 {
			t.Errorf("%s: %v %v", path, r, err)
		}
	}
	if _, err := recording.Open(filepath.Join(dir, "two.zip"), recording.Options{}); err == nil || !strings.Contains(err.Error(), "two.zip/LOG1.csv") {
		t.Errorf("an archive of two: %v", err)
	}
	if _, err := recording.Open(filepath.Join(dir, "two.zip/LOG3.csv"), recording.Options{}); err == nil || !strings.Contains(err.Error(), "LOG1.csv") {
		t.Errorf("a file that is not in the archive: %v", err)
	}
	if names, err := recording.ArchiveEntries(filepath.Join(dir, "two.zip")); err != nil || len(names) != 2 {
		t.Errorf("%q, %v", names, err)
	}
	nested(t, put, []byte(text), two.Bytes())
}

// nested lists and opens files of archives in archives: a zip archive and a packed
// log in a packed tar.
func nested(t *testing.T, put func(string, []byte) string, log, two []byte) {
	t.Helper()
	var gz, tape bytes.Buffer
	g := gzip.NewWriter(&gz)
	g.Write(log)
	g.Close()
	g = gzip.NewWriter(&tape)
	w := tar.NewWriter(g)
	for _, f := range []struct {
		name string
		data []byte
	}{{"./card/two.zip", two}, {"./card/LOG.csv.gz", gz.Bytes()}, {"./.hidden", log}} {
		if err := w.WriteHeader(&tar.Header{Name: f.name, Mode: 0o600, Size: int64(len(f.data))}); err != nil {
			t.Fatal(err)
		}
		w.Write(f.data)
	}
	w.Close()
	g.Close()
	path := put("card.tgz", tape.Bytes())
	names, err := recording.ArchiveEntries(path)
	if want := []string{"card/two.zip/LOG1.csv", "card/two.zip/LOG2.csv", "card/LOG.csv.gz"}; err != nil || !slices.Equal(names, want) {
		t.Errorf("%q, want %q, %v", names, want, err)
	}
	for _, n := range names {
		r, err := recording.Open(path+"/"+n, recording.Options{})
		if err != nil || r.Rows() != 100 || r.File != filepath.ToSlash(path)+"/"+n {
			t.Errorf("%s: %v %v", n, r, err)
		}
		if archive, within, ok := recording.WithinArchive(path + "/" + n); !ok || archive != filepath.ToSlash(path) || within != n {
			t.Errorf("%q, %q, %v", archive, within, ok)
		}
	}
	if _, err := recording.Open(path+"/card/two.zip", recording.Options{}); err == nil || !strings.Contains(err.Error(), "card/two.zip/LOG1.csv") {
		t.Errorf("an archive of two in another: %v", err)
	}
	if _, err := recording.Open(path+"/card/two.zip/LOG3.csv", recording.Options{}); err == nil || !strings.Contains(err.Error(), "LOG1.csv") {
		t.Errorf("a file that is not in the inner archive: %v", err)
	}
}

// JSON lines hold a column for each member; a line that is no object is
// rejected by its number.
func TestJSONLines(t *testing.T) {
	var b strings.Builder
	for i := range 50 {
		fmt.Fprintf(&b, "{\"t\":\"2026-05-13T09:00:%02dZ\",\"gps\":{\"lat\":%.6f,\"lon\":7.5},\"speed_kmh\":%d}\n", i, 46.5+float64(i)*1e-5, i)
		if i == 10 {
			b.WriteString("{\"t\":\"2026-05-13T09:00\n\n")
		}
	}
	r, err := recording.Read("drive.jsonl", strings.NewReader(b.String()), recording.Options{})
	if err != nil {
		t.Fatal(err)
	}
	a := r.Account
	if r.Format != recording.JSONLines || r.Rows() != 50 || !r.ZoneKnown || !a.Balanced() || a.Lines != 52 || a.Blank != 1 || len(a.Rejects) != 1 || a.Rejects[0].Line != 12 {
		t.Errorf("%v\n%s%s", r, a, a.List())
	}
	speed := r.OfDimension(series.Speed)
	if len(speed) != 1 || math.Abs(speed[0].Series.Value[36]-10) > 1e-9 {
		t.Errorf("%v", r)
	}
}

// A preamble may say from when elapsed seconds count.
func TestStartInPreamble(t *testing.T) {
	text := "Start;13/05/2026 02:29:03 PM\nUnit;°C\ns;T1;T2\n"
	for i := range 60 {
		text += fmt.Sprintf("%d;%d,5;31,0\n", 2*i, 20+i)
	}
	r, err := recording.Read("log.txt", strings.NewReader(text), recording.Options{})
	if want := time.Date(2026, 5, 13, 14, 29, 3, 0, time.UTC); err != nil || !r.Dated || !r.Start.Equal(want) || r.ZoneKnown {
		t.Errorf("%v, %v", r, err)
	}
	_, err = recording.Read("log.txt", strings.NewReader(strings.Replace(text, "13/05", "04/05", 1)), recording.Options{})
	var open *recording.AmbiguousError
	if !errors.As(err, &open) || open.Line != 1 {
		t.Errorf("a start that can be read in two ways: %v", err)
	}
}

// OpenWays reads a file with dates of open order both ways, and says so.
func TestOpenWays(t *testing.T) {
	path := filepath.Join(t.TempDir(), "log.csv")
	text := "Time,T1 (°C)\n"
	for i := range 30 {
		text += fmt.Sprintf("04/05/2026 09:00:%02d,%d\n", i, 20+i)
	}
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	ways, err := recording.OpenWays(path, recording.DefaultOptions())
	if err != nil || len(ways) != 2 || ways[0].Recording.Start.Month() != 5 || ways[1].Recording.Start.Month() != 4 || ways[1].Asked[0].Key != "date_order" || ways[1].Asked[0].Taken != "mdy" {
		t.Errorf("%+v, %v", ways, err)
	}
	if _, err := recording.OpenWays(filepath.Join(t.TempDir(), "none"), recording.DefaultOptions()); err == nil {
		t.Error("a file that is not there was read")
	}
}
