package recording

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/format"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/unit"
)

// A format that no device writes: "at 3 it is 21.5", one reading a line.
var spoken = format.Format{Name: "spoken", Lines: true,
	Recognise: func(src *source.Source) bool { return bytes.HasPrefix(src.Head, []byte("at ")) },
	Read: func(src *source.Source, _ format.Request) (*table.Table, error) {
		t := &table.Table{File: src.Path, Format: "spoken", Times: ElapsedSeconds, Account: &Account{Unit: "lines"},
			Columns: []table.Column{{Head: table.Head{Number: 1, Name: "air", Content: HoldsTemperature, Unit: unit.Celsius, Reason: "format"}}}}
		for l, err := range src.Lines() {
			if err != nil {
				return nil, err
			}
			t.Account.Lines++
			word := strings.Fields(string(l.Text))
			if len(word) != 5 {
				t.Account.Rejects = append(t.Account.Rejects, Reject{Line: l.Number, Reason: "not said clearly", Text: string(l.Text)})
				continue
			}
			at, err := strconv.ParseFloat(word[1], 64)
			if err != nil {
				return nil, src.Fail(fmt.Sprintf("says %q for a time", word[1]), "say a number", ErrNoTime)
			}
			air, err := strconv.ParseFloat(word[4], 64)
			if err != nil {
				return nil, src.Fail(fmt.Sprintf("says %q for a temperature", word[4]), "say a number", ErrNoData)
			}
			t.Lines.Add(len(t.Time), l.Number)
			t.Time = append(t.Time, at)
			t.Columns[0].Values = append(t.Columns[0].Values, unit.Celsius.SI(air))
			t.Account.Read++
		}
		return t, nil
	}}

// TestNewFormat adds a format by one line and reads a file of it through the
// public functions: recognised, named in a layout, and refused by an older one.
func TestNewFormat(t *testing.T) {
	said := "at 0 it is 20.5\nat 1 it is 21\nhm\nat 2 it is 21.5\nat 4 it is 22\n"
	if _, err := Read("said.txt", strings.NewReader(said), Options{Layout: Layout{Format: "spoken"}}); err == nil || !strings.Contains(err.Error(), `format = "spoken" is not known; allowed are "text", "xlsx", "gpx", "nmea"`) {
		t.Errorf("before it is registered: %v", err)
	}
	format.Register(spoken)
	path := writeFile(t, "said.txt", []byte(said))
	for _, l := range []Layout{{}, {Format: "spoken"}} {
		r, err := Open(path, Options{Layout: l})
		checkRecording(t, r, err)
		if err != nil {
			t.Fatal(err)
		}
		a := r.Account
		if r.Format != "spoken" || r.Layout.Format != "spoken" || a.Lines != 5 || a.Read != 4 || len(a.Rejects) != 1 || a.Rejects[0].Line != 3 {
			t.Errorf("%s\n%s", r, a)
		}
		c, err := r.Column("air")
		if err != nil || fmt.Sprint(c.Series.Time) != "[0 1 2 4]" || c.Series.Value[2] != 21.5+273.15 {
			t.Errorf("%v %v", c, err)
		}
	}
	// The others are read as before.
	if r, err := Read("x.csv", strings.NewReader("Time (s),Air (°C)\n0,20\n1,21\n2,22\n"), Options{}); err != nil || r.Format != Text {
		t.Errorf("text: %v %v", r, err)
	}
}
