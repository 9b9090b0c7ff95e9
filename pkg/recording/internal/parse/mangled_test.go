package parse

import (
	"math"
	"testing"
)

func TestMangled(t *testing.T) {
	for text, want := range map[string]float64{
		"18. Jul": 18.7, "18-Jul": 18.7, "1. Jan": 1.1, "31. Mrz": 31.3, "18. Okt": math.NaN(), "18.7": math.NaN(), "Jul": math.NaN(), "40. Jul": math.NaN(), "18. Jul 2025": math.NaN(),
	} {
		if v, ok := DayMonth([]byte(text)); ok == math.IsNaN(want) || ok && v != want {
			t.Errorf("%q: %v, %t, want %v", text, v, ok, want)
		}
	}
	for _, c := range []struct {
		text    string
		decimal byte
		want    float64
	}{
		{"2.013", ',', 2013}, {"1.234.567,5", ',', 1234567.5}, {"2,013", '.', 2013}, {"1'013.25", '.', 1013.25}, {"12 345,6", ',', 12345.6}, {"-1,000", '.', -1000},
		{"2.01", ',', math.NaN()}, {"2.0134", ',', math.NaN()}, {"1.234,567.8", ',', math.NaN()}, {"2013", '.', math.NaN()}, {"1,23,456", '.', math.NaN()},
	} {
		if v, ok := Grouped([]byte(c.text), c.decimal); ok == math.IsNaN(c.want) || ok && v != c.want {
			t.Errorf("%q: %v, %t, want %v", c.text, v, ok, c.want)
		}
	}
}
