package recording

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
)

// open reads text as a file and fails on an error.
func open(t *testing.T, text string, l Layout) *Recording {
	t.Helper()
	r, err := Open(writeFile(t, "log.csv", []byte(text)), Options{Layout: l})
	if err != nil {
		t.Fatal(err)
	}
	if !r.Account.Balanced() {
		t.Fatalf("account does not balance:\n%s", r.Account)
	}
	checkRecording(t, r, err)
	return r
}

// rowsOf writes n rows with the given stamps and one temperature that moves.
func rowsOf(header string, stamps []string) string {
	var b strings.Builder
	b.WriteString(header + "\n")
	for i, s := range stamps {
		fmt.Fprintf(&b, "%s,%.1f\n", s, 20+float64(i%7)+float64(i)*0.1)
	}
	return b.String()
}

// stamps lists n stamps from a start, step apart.
func stamps(layout string, from time.Time, step time.Duration, n int) []string {
	var s []string
	for i := range n {
		s = append(s, from.Add(time.Duration(i)*step).Format(layout))
	}
	return s
}

const stampLayout = "2006-01-02 15:04:05"

var noon = time.Date(2025, 3, 25, 12, 0, 0, 0, time.UTC)

func lastTime(r *Recording) float64 {
	s := r.Columns[0].Series
	return s.Time[len(s.Time)-1]
}

func changed(r *Recording, word string) bool {
	for _, c := range r.Account.Changes {
		if strings.Contains(c.What, word) {
			return true
		}
	}
	return false
}

func rejected(r *Recording, word string) (n int) {
	for _, x := range r.Account.Rejects {
		if strings.Contains(x.Reason, word) {
			n++
		}
	}
	return n
}

func TestMidnightWithoutDate(t *testing.T) {
	s := stamps("15:04:05", time.Date(2025, 1, 1, 23, 59, 0, 0, time.UTC), 2*time.Second, 60)
	r := open(t, rowsOf("Time,Air (°C)", s), Layout{})
	if got := lastTime(r); got != 118 || r.Dated || !changed(r, "midnight") {
		t.Errorf("last row at %v s, dated %t, changes %v", got, r.Dated, r.Account.Changes)
	}
	r = open(t, rowsOf("Time,Air (°C)", s), Layout{Date: "2025-01-01", Zone: "+01:00"})
	if want := time.Date(2025, 1, 1, 22, 59, 0, 0, time.UTC); !r.Start.Equal(want) || !r.ZoneKnown || lastTime(r) != 118 {
		t.Errorf("start %v, want %v; last %v", r.Start, want, lastTime(r))
	}
}

func TestHourSetBack(t *testing.T) {
	s := append(stamps(stampLayout, noon, 5*time.Second, 40), stamps(stampLayout, noon.Add(200*time.Second-time.Hour), 5*time.Second, 40)...)
	r := open(t, rowsOf("Time,Air (°C)", s), Layout{})
	if got := lastTime(r); got != 79*5 || len(r.Parts) != 2 || r.Parts[1].Shift != 3600 || r.Parts[1].FirstLine != 42 {
		t.Errorf("last row at %v s, parts %+v", got, r.Parts)
	}
}

// Summer time in the zone of Berlin: 2024-10-27 03:00 goes back to 02:00, and
// 2024-03-31 02:00 goes ahead to 03:00 (Directive 2000/84/EC).
func TestSummerTime(t *testing.T) {
	loc, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Skip("no zone database")
	}
	for _, from := range []time.Time{time.Date(2024, 10, 27, 0, 50, 0, 0, time.UTC), time.Date(2024, 3, 31, 0, 50, 0, 0, time.UTC)} {
		var s []string
		for i := range 120 {
			s = append(s, from.Add(time.Duration(i)*10*time.Second).In(loc).Format(stampLayout))
		}
		r := open(t, rowsOf("Time,Air (°C)", s), Layout{Zone: "Europe/Berlin"})
		if got := lastTime(r); got != 1190 || !r.Start.Equal(from) || len(r.Account.Rejects) > 0 {
			t.Errorf("from %v: start %v, last row at %v s\n%s", from, r.Start, got, r.Account)
		}
	}
}

func TestClockResetToEpoch(t *testing.T) {
	epoch := time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)
	s := append(stamps(stampLayout, noon, time.Second, 100), stamps(stampLayout, epoch, time.Second, 30)...)
	s = append(s, stamps(stampLayout, noon.Add(5*time.Minute), time.Second, 50)...)
	r := open(t, rowsOf("Time,Air (°C)", s), Layout{})
	if r.Rows() != 150 || len(r.Separate) != 1 || r.Separate[0].Rows() != 30 || !r.Separate[0].Start.Equal(epoch) || lastTime(r) != 349 {
		t.Errorf("rows %d, separate %v, last %v\n%s", r.Rows(), r.Separate, lastTime(r), r)
	}
	if len(r.Warnings) == 0 || !strings.Contains(strings.Join(estimate.Texts(r.Warnings), " "), "goes back") {
		t.Errorf("the reset is not named: %v", r.Warnings)
	}
}

func TestElapsedRestart(t *testing.T) {
	var s []string
	for i := range 50 {
		s = append(s, fmt.Sprintf("%.1f", float64(i)*0.5))
	}
	r := open(t, rowsOf("Time (s),Air (°C)", append(s, s[:20]...)), Layout{})
	if r.Rows() != 50 || len(r.Separate) != 1 || r.Separate[0].Rows() != 20 {
		t.Errorf("rows %d, separate %d", r.Rows(), len(r.Separate))
	}
}

func TestStepBackAndStray(t *testing.T) {
	s := stamps(stampLayout, noon, time.Second, 60)
	s[20] = "2031-01-01 00:00:00"
	copy(s[40:], stamps(stampLayout, noon.Add(37*time.Second), time.Second, 20))
	r := open(t, rowsOf("Time,Air (°C)", s), Layout{})
	if rejected(r, "far from") != 1 || rejected(r, "stepped back") == 0 || lastTime(r) != 56 {
		t.Errorf("last %v\n%s", lastTime(r), r.Account)
	}
	if text := r.Account.Rejects[0].Text; !strings.Contains(text, "2031") {
		t.Errorf("the rejected line's text is %q", text)
	}
}

func TestRepeatedStamps(t *testing.T) {
	var s []string
	for i := range 60 {
		s = append(s, noon.Add(time.Duration(i/2)*time.Second).Format(stampLayout))
	}
	r := open(t, rowsOf("Time,Air (°C)", s), Layout{})
	if r.Rows() != 60 || r.Columns[0].Series.Time[1] != 0.5 || lastTime(r) != 29.5 || !changed(r, "spread") {
		t.Errorf("rows %d, times %v", r.Rows(), r.Columns[0].Series.Time[:4])
	}
	// Fine stamps that repeat are rejected, not spread.
	s = stamps("2006-01-02 15:04:05.000", noon, 250*time.Millisecond, 60)
	s[30] = s[29]
	r = open(t, rowsOf("Time,Air (°C)", s), Layout{})
	if r.Rows() != 59 || rejected(r, "same stamp") != 1 {
		t.Errorf("rows %d\n%s", r.Rows(), r.Account)
	}
}

func TestNewestFirst(t *testing.T) {
	s := stamps(stampLayout, noon, time.Second, 60)
	for i := range 30 {
		s[i], s[59-i] = s[59-i], s[i]
	}
	r := open(t, rowsOf("Time,Air (°C)", s), Layout{})
	if r.Rows() != 60 || !r.Start.Equal(noon) || !changed(r, "newest") || r.Parts[0].FirstLine != 61 {
		t.Errorf("%s\n%+v", r, r.Parts)
	}
}

func TestCarriedForward(t *testing.T) {
	var b strings.Builder
	b.WriteString("Time,A (°C),B (°C),C (kPa),D (km/h)\n")
	cells := []string{"", "", "", ""}
	for i := range 400 {
		if i != 200 { // a lost row shifts the round
			cells[i%4] = fmt.Sprint(20 + (i*7)%13)
			fmt.Fprintf(&b, "%.1f,%s\n", float64(i)*0.1, strings.Join(cells, ","))
		}
	}
	r := open(t, b.String(), Layout{})
	for i, c := range r.Columns {
		if n := c.Series.Len(); n < 99 || n > 100 {
			t.Errorf("%s has %d readings, want 100", c.Name, n)
		}
		if at := c.Series.Time[70]; math.Abs(math.Mod(at*10+1e-6, 4)-float64(i)) > 1e-3 {
			t.Errorf("%s is taken at %v s, not in its turn", c.Name, at)
		}
	}
	if r = open(t, b.String(), Layout{KeepCarried: true}); r.Columns[0].Series.Len() != 399 {
		t.Errorf("keep_carried keeps %d", r.Columns[0].Series.Len())
	}
}

func TestJoin(t *testing.T) {
	a := open(t, rowsOf("Time,Air (°C)", stamps(stampLayout, noon, 2*time.Second, 50)), Layout{})
	b := open(t, rowsOf("Time,Air (°C)", stamps(stampLayout, noon.Add(100*time.Second), 2*time.Second, 50)), Layout{})
	r, err := Join(b, a)
	if err != nil {
		t.Fatal(err)
	}
	checkRecording(t, r, nil)
	if r.Rows() != 100 || lastTime(r) != 198 || !r.Start.Equal(noon) || r.Parts[1].Reason == "" {
		t.Errorf("rows %d, last %v, %+v", r.Rows(), lastTime(r), r.Parts)
	}
	if _, err := Join(a, a); err == nil || !strings.Contains(err.Error(), "ends") {
		t.Errorf("overlapping files: %v", err)
	}
}

func TestDisorderIsAnError(t *testing.T) {
	var s []string
	for i := range 300 {
		s = append(s, noon.Add(time.Duration((i*7919)%300)*time.Hour).Format(stampLayout))
	}
	_, err := Open(writeFile(t, "log.csv", []byte(rowsOf("Time,Air (°C)", s))), Options{})
	if !errors.Is(err, ErrNoTime) {
		t.Errorf("got %v", err)
	}
}
