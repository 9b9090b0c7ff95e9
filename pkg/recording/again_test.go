package recording

import (
	"bytes"
	"testing"
)

// TestOddFilesByTheirLayout reads each odd file again by the layout that was
// found, to the same values.
func TestOddFilesByTheirLayout(t *testing.T) {
	for _, f := range append(append(oddFiles(), oddTimes()...), foreignFiles(t, "foreign.zip")...) {
		r, err := Read(f.name, bytes.NewReader(f.text), Options{Workers: 2})
		if err != nil {
			continue
		}
		f.layout = r.Layout
		if became, why := f.became(); became != readRight && became != warned {
			t.Errorf("%s: %s: %.300s", f.name, became, why)
		}
	}
}

// TestAnswers answers what odd files leave open, and gets what they mean.
func TestAnswers(t *testing.T) {
	answers := map[string]Layout{
		"hot °C.csv": {TemperatureUnit: "°C"}, "hot °C 2.csv": {TemperatureUnit: "°C"}, "tenths.csv": {TemperatureUnit: "0.1 °C"},
		"switch to F Time,T1,T2,T false.csv": {TemperatureUnit: "°C"}, "switch to F Time,T1,T2,T true.csv": {TemperatureUnit: "°C"},
	}
	for _, f := range oddFiles() {
		l, asked := answers[f.name]
		if !asked {
			continue
		}
		f.layout = l
		if became, why := f.became(); became != readRight {
			t.Errorf("%s: %s: %s", f.name, became, why)
		}
	}
}
