package recording

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"
)

// Numbers for times without a unit are asked about where seconds would warm a car
// as nothing does, or make a drive of twelve hours; else they are seconds.
func TestDoubtfulSeconds(t *testing.T) {
	for name, c := range map[string]struct {
		time func(i int) string
		asks string
	}{
		"minutes":           {func(i int) string { return fmt.Sprintf("%.4f", float64(i)/30) }, `"elapsed min"`},
		"hours":             {func(i int) string { return fmt.Sprintf("%.6f", float64(i)/1800) }, `"elapsed h"`},
		"milliseconds":      {func(i int) string { return fmt.Sprint(50 * i) }, `"elapsed ms"`},
		"seconds":           {func(i int) string { return fmt.Sprint(2 * i) }, ""},
		"seconds, slow log": {func(i int) string { return fmt.Sprint(10 * i) }, ""},
	} {
		text := "Time,T1 (°C),T2 (°C)\n"
		for i := range 900 {
			text += fmt.Sprintf("%s,%.1f,%.1f\n", c.time(i), 14+22*(1-math.Exp(-float64(i)/450)), 13+75*(1-math.Exp(-float64(i)/250)))
		}
		_, err := readBytes([]byte(text))
		var ask *AmbiguousError
		switch {
		case c.asks == "" && err != nil:
			t.Errorf("%s: %v", name, err)
		case c.asks != "" && (!errors.As(err, &ask) || !strings.Contains(err.Error(), c.asks)):
			t.Errorf("%s: %v, want a question with %s", name, err, c.asks)
		}
	}
}

// An exhaust warms in seconds as air and water do in minutes: it says nothing of
// the times.
func TestExhaustWarmsInSeconds(t *testing.T) {
	text := "run time,T1 (°C),T2 (°C)\n"
	for i := range 427 {
		text += fmt.Sprintf("%d,%.1f,%.1f\n", i, 20+60*(1-math.Exp(-float64(i)/400)), 240+280*(1-math.Exp(-float64(i)/60)))
	}
	r, err := readBytes([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	if at := r.Columns[0].Series.Time; at[len(at)-1]-at[0] != 426 {
		t.Errorf("it lasts %g s, want 426", at[len(at)-1]-at[0])
	}
}

// A tar archive is not read as text, where its first file's name reads like a
// header, but the log in it.
func TestTar(t *testing.T) {
	log := []byte("Time (min),T1 (°C)\n0,20\n1,21\n2,22\n3,23\n")
	var packed bytes.Buffer
	z := gzip.NewWriter(&packed)
	w := tar.NewWriter(z)
	if err := errors.Join(w.WriteHeader(&tar.Header{Name: "minutes.csv", Mode: 0o600, Size: int64(len(log))}), func() error { _, err := w.Write(log); return err }(), w.Close(), z.Close()); err != nil {
		t.Fatal(err)
	}
	r, err := Read("logs.tar.gz", &packed, Options{})
	if err != nil || r.Rows() != 4 || r.Account.Lines != 5 || r.Interval().Duration() < 180 || !strings.HasSuffix(r.File, "logs.tar.gz/minutes.csv") {
		t.Errorf("%v, %v", r, err)
	}
}

// A date that stands in few rows is that of all, over midnight, too; of rows that
// another date puts on a later day, which no time of day leads to, the day would be
// a guess.
func TestDateInFewRows(t *testing.T) {
	for _, c := range []struct {
		begin, second string
		wrong         bool
	}{{"23:58:20", "2025-11-14", false}, {"23:58:20", "", false}, {"09:00:00", "2025-11-13", false}, {"23:58:20", "2025-11-15", true}, {"09:00:00", "2025-11-14", true}} {
		at, err := time.Parse(time.TimeOnly, c.begin)
		if err != nil {
			t.Fatal(err)
		}
		text := "Date,Time,T1 (°C)\n"
		for i := range 400 {
			date := map[int]string{0: "2025-11-13", 100: c.second}[i]
			text += fmt.Sprintf("%s,%s,%.1f\n", date, at.Add(time.Duration(i)*time.Second).Format(time.TimeOnly), 15+float64(i)/20)
		}
		r, err := readBytes([]byte(text))
		switch {
		case c.wrong && (err == nil || !strings.Contains(err.Error(), "line 102")):
			t.Errorf("%s, then %s: %v, %v", c.begin, c.second, r, err)
		case !c.wrong && (err != nil || r.Rows() != 400 || r.Start.Format(time.DateOnly+" "+time.TimeOnly) != "2025-11-13 "+c.begin):
			t.Errorf("%s, then %s: %v, %v", c.begin, c.second, r, err)
		}
	}
}

// A header that speaks of seconds over milliseconds is asked about, where the
// numbers step by more than a minute; the answer is taken, in the layout's format or
// as the column's unit, and a header that is right is believed.
func TestStatedSeconds(t *testing.T) {
	build := func(header string, step float64) []byte {
		text := header + ",T1 (°C)\n"
		for i := range 300 {
			text += fmt.Sprintf("%g,%.1f\n", step*float64(i), 20+float64(i)/20)
		}
		return []byte(text)
	}
	for _, header := range []string{"Time (s)", "elapsed_s", "Elapsed [sec]", "seconds", "Zeit in Sekunden"} {
		for step, asks := range map[float64]bool{1: false, 2: false, 10: false, 60: false, 100: true, 250: true, 2000: true, 2000.4: true} {
			_, err := readBytes(build(header, step))
			var ask *AmbiguousError
			if asks != errors.As(err, &ask) || !asks && err != nil {
				t.Errorf("%s in steps of %g: %v, want a question: %t", header, step, err, asks)
			}
		}
	}
	text := build("Time (s)", 2000)
	for name, c := range map[string]struct {
		layout Layout
		span   float64
	}{
		"milliseconds": {Layout{TimeFormat: ElapsedMilliseconds}, 598},
		"seconds":      {Layout{TimeFormat: ElapsedSeconds}, 598000},
		"unit":         {Layout{Columns: []ColumnLayout{{Number: 1, Holds: HoldsTime, Unit: "ms"}}}, 598},
		"its own unit": {Layout{Columns: []ColumnLayout{{Number: 1, Holds: HoldsTime, Unit: "s"}}}, 598000},
	} {
		r, err := readBytesWith(text, c.layout)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if at := r.Columns[0].Series.Time; at[len(at)-1] != c.span {
			t.Errorf("%s: lasts %g s, want %g", name, at[len(at)-1], c.span)
		}
	}
}
