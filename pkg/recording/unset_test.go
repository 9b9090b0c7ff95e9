package recording

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
)

// TestClockNeverSet warns of dates from which clocks count that nobody set: the zeros
// of Unix (POSIX.1), FAT (1980) and real-time clocks (2000), and first of Januaries that
// makers begin with (common practice, no source); and of one years after its file was
// written. Dates of drives, on New Year's Day, too, pass without a word.
func TestClockNeverSet(t *testing.T) {
	written := time.Date(2026, 5, 4, 20, 0, 0, 0, time.UTC)
	for start, warns := range map[string]bool{
		"1970-01-01 00:00:00": true, "1980-01-01 00:00:12": true, "2000-01-01 00:00:00": true, "2015-01-01 00:03:00": true, "1999-06-12 10:00:00": true,
		"2036-02-07 06:28:16": true, "2026-05-03 09:00:00": false, "2017-07-11 14:00:00": false, "2025-01-01 11:20:00": false, "2024-12-31 23:59:30": false, "2025-01-01 00:20:00": false,
	} {
		at, err := time.Parse(time.DateTime, start)
		if err != nil {
			t.Fatal(err)
		}
		text := "Time,Air (°C)\n"
		for i := range 60 {
			text += fmt.Sprintf("%s,%.1f\n", at.Add(time.Duration(2*i)*time.Second).Format(time.DateTime), 20+float64(i%3)/10)
		}
		path := filepath.Join(t.TempDir(), "log.csv")
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if err := os.Chtimes(path, written, written); err != nil {
			t.Fatal(err)
		}
		r, err := Open(path, Options{})
		if err != nil {
			t.Errorf("%s: %v", start, err)
			continue
		}
		said := false
		for _, w := range r.Warnings {
			said = said || w.Kind == account.ClockUnset
		}
		if said != warns {
			t.Errorf("%s: warned %t, want %t", start, said, warns)
		}
	}
}
