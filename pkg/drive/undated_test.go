package drive_test

import (
	"testing"
	"time"

	. "github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// A file of elapsed seconds has no date: its series start at the zero time,
// which is a start like any other.
func TestAssembleUndated(t *testing.T) {
	s, err := series.New("coolant", series.Temperature, time.Time{}, []float64{0, 1, 2}, []float64{300, 301, 302})
	if err != nil {
		t.Fatal(err)
	}
	d := assemble(t, Part{File: "elapsed.csv", Device: "logger", Inputs: []Input{{Role: Coolant, Series: s, Column: "1"}}})
	if !d.Has(Coolant) || d.Channels[Coolant].Series.Present() != 3 {
		t.Errorf("an undated file lost its readings: %v", d)
	}
}
