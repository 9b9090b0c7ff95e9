package recording

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"reflect"
	"strings"
	"testing"
	"testing/iotest"
	"time"
)

// TestRead reads one file by its path and from readers of several kinds: all
// must say the same.
func TestRead(t *testing.T) {
	for name, text := range map[string]string{
		"log.csv":   temperatures("T1 (°C)", 20, 40),
		"fix.nmea":  nmeaSample,
		"track.gpx": gpxOf(30),
	} {
		path := writeFile(t, name, []byte(text))
		want, err := Open(path, Options{})
		if err != nil {
			t.Fatal(err)
		}
		file, err := os.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		defer file.Close()
		after := strings.NewReader("skipped" + text)
		if _, err := after.Seek(int64(len("skipped")), io.SeekStart); err != nil {
			t.Fatal(err)
		}
		for kind, r := range map[string]io.Reader{
			"file": file, "bytes": bytes.NewReader([]byte(text)), "the rest of a reader": after,
			"a reader that can't seek": iotest.HalfReader(strings.NewReader(text)), "one byte at a time": iotest.OneByteReader(strings.NewReader(text)),
		} {
			got, err := Read(path, r, Options{})
			if err != nil {
				t.Errorf("%s from %s: %v", name, kind, err)
				continue
			}
			if got.String() != want.String() || got.Account.String() != want.Account.String() || got.Account.List() != want.Account.List() || !reflect.DeepEqual(got.Layout, want.Layout) {
				t.Errorf("%s from %s: %s\nwant %s", name, kind, got, want)
			}
			for i, c := range got.Columns {
				w := want.Columns[i].Series
				if !reflect.DeepEqual(c.Series.Time, w.Time) || len(c.Series.Value) != len(w.Value) || c.Series.Value[0] != w.Value[0] {
					t.Errorf("%s from %s: column %s differs", name, kind, c.Name)
				}
			}
		}
	}
}

// TestReadFails names the file in errors, and keeps the cause.
func TestReadFails(t *testing.T) {
	broken := errors.New("the line went dead")
	for _, c := range []struct {
		r    io.Reader
		opts Options
		want string
		is   error
	}{
		{iotest.ErrReader(broken), Options{}, "drive 3.csv: can't be read: the line went dead", broken},
		{strings.NewReader(""), Options{}, "drive 3.csv: is empty", ErrEmpty},
		{iotest.DataErrReader(strings.NewReader("no table")), Options{}, "drive 3.csv: ", nil},
		{strings.NewReader("x"), Options{Layout: Layout{Zone: "Nowhere"}}, "drive 3.csv: layout: zone", nil},
	} {
		_, err := Read("drive 3.csv", c.r, c.opts)
		if err == nil || !strings.HasPrefix(err.Error(), c.want) || c.is != nil && !errors.Is(err, c.is) {
			t.Errorf("%v, want %q", err, c.want)
		}
	}
}

// TestNoSuchDay has a date in the preamble that no order makes a day of; it
// once ended in a panic.
func TestNoSuchDay(t *testing.T) {
	r := open(t, "Printed 30 Feb 2025\nTime,Air (°C)\n10:00:00,20\n10:00:01,21\n10:00:02,22\n", Layout{})
	if r.Dated || r.Rows() != 3 {
		t.Errorf("%s", r)
	}
}

// TestSecondTime names two columns as the time: the last one is it, the other
// keeps its numbers. It once ended in a panic.
func TestSecondTime(t *testing.T) {
	l := Layout{Columns: []ColumnLayout{{Number: 1, Holds: HoldsTime}, {Number: 2, Holds: HoldsTime}}, TimeFormat: ElapsedSeconds}
	r := open(t, "a,b,Air (°C)\n7,0,20\n7,1,21\n7,2,22\n", l)
	if c, err := r.Column("a"); err != nil || c.Series.Value[2] != 7 || r.Interval().Duration() < 2 {
		t.Errorf("%v\n%s", err, r)
	}
}

// BenchmarkSmallLog reads a log of two minutes, as a folder holds hundreds.
func BenchmarkSmallLog(b *testing.B) {
	start, at, celsius := oddDrive(60)
	var text strings.Builder
	text.WriteString("Time,T1 (°C),T2 (°C),T3 (°C),T4 (°C)\n")
	for i, s := range at {
		fmt.Fprintf(&text, "%s,%.1f,%.1f,%.1f,%.1f\n", start.Add(time.Duration(s)*time.Second).Format(time.DateTime), celsius[0][i], celsius[1][i], celsius[2][i], celsius[3][i])
	}
	b.SetBytes(int64(text.Len()))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := readBytes([]byte(text.String())); err != nil {
			b.Fatal(err)
		}
	}
}
