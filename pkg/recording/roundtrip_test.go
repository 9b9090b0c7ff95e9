package recording

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf16"

	"golang.org/x/text/encoding/charmap"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// shape is one way to write a table of temperatures.
type shape struct {
	delimiter string
	decimal   string
	encoding  string
	lineEnd   string
	header    string // "none", "one", "preamble", "repeated"
	units     string // "header", "column", "line", "cell"
	unit      string // "°C", "°F", "K"
	time      string // Go layout, "elapsed", "unix", "unix ms"; "|" cuts date from time
	quoted    bool
	missing   string
}

func (s shape) String() string {
	return fmt.Sprintf("%q %q %s %q %s %s %s %s quoted=%t missing=%q", s.delimiter, s.decimal, s.encoding, s.lineEnd, s.header, s.units, s.unit, s.time, s.quoted, s.missing)
}

// truth is what is written: times in seconds after start, °C to one decimal.
type truth struct {
	start time.Time
	time  []float64
	value [][]float64 // by channel
}

func pick[T any](r *rand.Rand, from ...T) T { return from[r.IntN(len(from))] }

func randomShape(r *rand.Rand) shape {
	s := shape{
		delimiter: pick(r, ",", ";", "\t", "  ", "|"),
		decimal:   pick(r, ".", ","),
		encoding:  pick(r, "utf-8", "utf-8-bom", "utf-16le", "utf-16be", "windows-1252"),
		lineEnd:   pick(r, "\n", "\r\n", "\r"),
		header:    pick(r, "none", "one", "preamble", "repeated"),
		units:     pick(r, "header", "column", "line", "cell"),
		unit:      pick(r, "°C", "°F", "K"),
		time: pick(r, "2006-01-02 15:04:05", "2006-01-02T15:04:05Z", "2006-01-02T15:04:05.000+02:00", "02.01.2006|15:04:05",
			"02/01/2006 15:04:05.000", "01/02/2006 15:04:05:000", "2006/01/02|03:04:05 PM", "02-Jan-2006 15:04:05", "20060102|15:04:05",
			"elapsed", "unix", "unix ms", "02.01.2006 15:04:05,000"),
		quoted:  r.IntN(4) == 0,
		missing: pick(r, "", "----", "OL", "Err", "9999", "+9.9E37", "NaN"),
	}
	if s.delimiter == "," {
		if s.decimal == "," {
			s.quoted = true // otherwise no one could tell them apart
		}
		if strings.Contains(s.time, ",") {
			s.time = "2006-01-02 15:04:05"
		}
	}
	if s.delimiter == "  " {
		s.quoted = false
		s.units = pick(r, "header", "column")
		if s.missing == "" {
			s.missing = "----"
		}
		if s.time == "20060102|15:04:05" {
			s.time = "elapsed"
		}
	}
	if s.header == "none" {
		s.units = pick(r, "column", "cell")
		if s.time == "20060102|15:04:05" || s.time == "elapsed" {
			s.time = "unix"
		}
	}
	if s.missing == "+9.9E37" && s.decimal == "," {
		s.missing = "OL"
	}
	if s.units == "cell" {
		s.missing = pick(r, "----", "OL")
	}
	return s
}

func randomTruth(r *rand.Rand) truth {
	n := 40 + r.IntN(60)
	// Day 25 settles the order of day and month.
	tr := truth{start: time.Date(2025, 3, 25, 13, 5, 0, 0, time.UTC)}
	channels := 2 + r.IntN(3)
	tr.value = make([][]float64, channels)
	t := 0.0
	for range n {
		tr.time = append(tr.time, t)
		t += float64(1 + r.IntN(3))
		for c := range channels {
			v := math.Round(200+300*r.Float64()) / 10 // 20 to 50 °C
			if k := len(tr.value[c]); k > 0 {
				if p := tr.value[c][k-1]; !math.IsNaN(p) {
					v = math.Round((p+2*r.NormFloat64())*10) / 10
				}
			}
			if r.IntN(12) == 0 {
				v = math.NaN()
			}
			tr.value[c] = append(tr.value[c], v)
		}
	}
	for c := range channels {
		tr.value[c][0] = 20 // something to recognise the kind of column by
	}
	return tr
}

func inUnit(c float64, unit string) float64 {
	switch unit {
	case "°F":
		return math.Round(quantity.Celsius(c).Fahrenheit()*100) / 100
	case "K":
		return math.Round(quantity.Celsius(c).Kelvin()*100) / 100
	}
	return c
}

func kelvinOf(v float64, unit string) float64 {
	switch unit {
	case "°F":
		return quantity.Fahrenheit(v).Kelvin()
	case "K":
		return v
	}
	return quantity.Celsius(v).Kelvin()
}

// write writes the table in the shape.
func (s shape) write(tr truth) []byte {
	var names, unitLine []string
	cells := strings.Split(s.time, "|")
	switch {
	case len(cells) == 2:
		names, unitLine = []string{"Date", "Time"}, []string{"", ""}
	case s.time == "elapsed":
		names, unitLine = []string{"Time [s]"}, []string{"s"}
		if s.units == "line" {
			names = []string{"Time"}
		}
	default:
		names, unitLine = []string{"Timestamp"}, []string{""}
	}
	if s.delimiter == "  " && strings.Contains(s.time, " ") && len(cells) == 1 {
		names, unitLine = []string{"Date", "Time"}, []string{"", ""}
	}
	if s.delimiter == "  " && strings.Contains(s.time, "PM") {
		names, unitLine = []string{"Date", "Time", "Half"}, []string{"", "", ""}
	}
	for c := range tr.value {
		name := fmt.Sprintf("Air%d", c+1)
		if s.units == "header" {
			name += " (" + s.unit + ")"
		}
		names, unitLine = append(names, name), append(unitLine, s.unit)
		if s.units == "column" {
			names, unitLine = append(names, name+"_unit"), append(unitLine, "")
		}
	}
	var lines []string
	head := []string{strings.Join(names, s.delimiter)}
	if s.units == "line" {
		head = append(head, strings.Join(unitLine, s.delimiter))
	}
	switch s.header {
	case "preamble":
		lines = append(lines, "Four-channel logger", "Serial 12345", "")
		lines = append(lines, head...)
	case "one", "repeated":
		lines = append(lines, head...)
	}
	for i, t := range tr.time {
		if s.header == "repeated" && i == len(tr.time)/2 {
			lines = append(lines, head...)
		}
		lines = append(lines, strings.Join(s.row(tr, i, t), s.delimiter))
	}
	text := strings.Join(lines, s.lineEnd) + s.lineEnd
	return encode(text, s.encoding)
}

func (s shape) row(tr truth, i int, t float64) []string {
	number := func(v float64, f string) string {
		return strings.Replace(fmt.Sprintf(f, v), ".", s.decimal, 1)
	}
	at := tr.start.Add(time.Duration(t * 1e9))
	var row []string
	switch s.time {
	case "elapsed":
		row = append(row, number(t, "%.1f"))
	case "unix":
		row = append(row, fmt.Sprint(at.Unix()))
	case "unix ms":
		row = append(row, fmt.Sprint(at.UnixMilli()))
	default:
		if strings.Contains(s.time, "+02:00") {
			row = append(row, at.In(time.FixedZone("", 7200)).Format(strings.Replace(s.time, "+02:00", "-07:00", 1)))
			break
		}
		layout := strings.Replace(s.time, "05:000", "05.000", 1)
		text := at.Format(layout)
		if layout != s.time {
			text = strings.Replace(text, ".", ":", 1)
		}
		row = append(row, strings.Split(text, "|")...)
	}
	for c := range tr.value {
		v := tr.value[c][i]
		cell := s.missing
		if !math.IsNaN(v) {
			cell = number(inUnit(v, s.unit), "%.2f")
			if s.units == "cell" {
				cell += " " + s.unit
			}
		}
		row = append(row, cell)
		if s.units == "column" {
			row = append(row, s.unit)
		}
	}
	if s.quoted {
		for k := range row {
			row[k] = `"` + row[k] + `"`
		}
	}
	return row
}

func encode(text, encoding string) []byte {
	switch encoding {
	case "utf-8-bom":
		return []byte("\xef\xbb\xbf" + text)
	case "utf-16le", "utf-16be":
		var b bytes.Buffer
		for _, u := range append([]uint16{0xfeff}, utf16.Encode([]rune(text))...) {
			if encoding == "utf-16le" {
				b.Write([]byte{byte(u), byte(u >> 8)})
			} else {
				b.Write([]byte{byte(u >> 8), byte(u)})
			}
		}
		return b.Bytes()
	case "windows-1252":
		b, err := charmap.Windows1252.NewEncoder().String(text)
		if err != nil {
			panic(err)
		}
		return []byte(b)
	}
	return []byte(text)
}

func writeFile(t testing.TB, name string, content []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, content, 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

// TestRoundTrip writes random tables in random shapes and reads them back:
// every value, every time, every missing cell, and an account that balances.
// The layout found must read the file to the same result.
func TestRoundTrip(t *testing.T) {
	for seed := range uint64(250) {
		r := rand.New(rand.NewPCG(seed, 7))
		s, tr := randomShape(r), randomTruth(r)
		content := s.write(tr)
		path := writeFile(t, "table.txt", content)
		rec, err := Open(path, Options{})
		if err != nil {
			t.Errorf("seed %d, %s: %v\n%s", seed, s, err, beginning(content))
			continue
		}
		if problem := compare(rec, s, tr); problem != "" {
			t.Errorf("seed %d, %s: %s\n%s\n%s%s", seed, s, problem, beginning(content), rec, rec.Account)
			continue
		}
		again, err := Open(path, Options{Layout: rec.Layout})
		if err != nil {
			t.Errorf("seed %d, %s: with its own layout: %v\n%s", seed, s, err, beginning(content))
			continue
		}
		if problem := compare(again, s, tr); problem != "" {
			t.Errorf("seed %d, %s: with its own layout %+v: %s\n%s", seed, s, rec.Layout, problem, beginning(content))
		}
	}
}

func beginning(b []byte) string { return string(b[:min(len(b), 400)]) }

func compare(rec *Recording, s shape, tr truth) string {
	if !rec.Account.Balanced() {
		return "the account does not balance"
	}
	if len(rec.Account.Rejects) > 0 {
		return "rejected: " + rec.Account.List()
	}
	if len(rec.Columns) != len(tr.value) {
		return fmt.Sprintf("%d columns, want %d", len(rec.Columns), len(tr.value))
	}
	if s.time != "elapsed" && !rec.Start.Equal(tr.start) {
		return fmt.Sprintf("start %v, want %v", rec.Start, tr.start)
	}
	for c, col := range rec.Columns {
		if col.Series.Len() != len(tr.time) {
			return fmt.Sprintf("%s: %d rows, want %d", col.Name, col.Series.Len(), len(tr.time))
		}
		for i := range tr.time {
			if math.Abs(col.Series.Time[i]-tr.time[i]) > 1e-6 {
				return fmt.Sprintf("%s: time %d is %v, want %v", col.Name, i, col.Series.Time[i], tr.time[i])
			}
			got, want := col.Series.Value[i], tr.value[c][i]
			if math.IsNaN(want) {
				if !math.IsNaN(got) {
					return fmt.Sprintf("%s: value %d is %v, want none", col.Name, i, got)
				}
				continue
			}
			if got != kelvinOf(inUnit(want, s.unit), s.unit) {
				return fmt.Sprintf("%s: value %d is %v K, want %v", col.Name, i, got, kelvinOf(inUnit(want, s.unit), s.unit))
			}
		}
	}
	return ""
}
