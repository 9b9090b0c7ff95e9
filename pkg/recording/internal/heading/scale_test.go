package heading

import "testing"

// How people write a factor (common practice, no source), and names that only
// look like it.
func TestCutScale(t *testing.T) {
	for header, want := range map[string]struct {
		rest   string
		counts float64
	}{
		"T1*10 (°C)": {"T1 (°C)", 10}, "T1 x10 (°C)": {"T1 (°C)", 10}, "T1x10 (°C)": {"T1 (°C)", 10}, "T1 ×100 [°C]": {"T1 [°C]", 100}, "T1_x10_C": {"T1_C", 10},
		"T1 (°C) x10": {"T1 (°C)", 10}, "T1 (°C)*10": {"T1 (°C)", 10}, "T1 (x10)": {"T1", 10}, "T1 (°C, x10)": {"T1 (°C)", 10}, "10*T1 (°C)": {"T1 (°C)", 10},
		"T1 10x (°C)": {"T1 (°C)", 10}, "T1*0.1 (°C)": {"T1 (°C)", 10}, "T1*0,01 (°C)": {"T1 (°C)", 100}, "T1 (0.1) °C": {"T1 °C", 10}, "T1 tenths (°C)": {"T1 (°C)", 10},
		"T1 (10ths °C)": {"T1 (°C)", 10}, "T1 hundredths °C": {"T1 °C", 100}, "T1 (°C · 1000)": {"T1 (°C)", 1000},
		"T1 (°C)": {"T1 (°C)", 0}, "T10 (°C)": {"T10 (°C)", 0}, "Sensor 1/10 (°C)": {"Sensor 1/10 (°C)", 0}, "box10": {"box10", 0}, "max 10 (°C)": {"max 10 (°C)", 0},
		"Pt1000 (°C)": {"Pt1000 (°C)", 0}, "CH 10 (°C)": {"CH 10 (°C)", 0}, "T1 (0.15)": {"T1 (0.15)", 0}, "airbox 10 (°C)": {"airbox 10 (°C)", 0},
	} {
		rest, counts := CutScale(header)
		if rest != want.rest && counts > 0 || counts != want.counts {
			t.Errorf("%q: %q and %v, want %q and %v", header, rest, counts, want.rest, want.counts)
		}
	}
}

// How people write a quotient (common practice, no source), and units that hold one.
func TestCutDivided(t *testing.T) {
	for header, want := range map[string]struct {
		rest   string
		counts float64
	}{
		"T1/10 (°C)": {"T1 (°C)", 10}, "T1 /10 (°C)": {"T1 (°C)", 10}, "T1 / 10 [°C]": {"T1 [°C]", 10}, "T1/10": {"T1", 10}, "T1 (°C)/100": {"T1 (°C)", 100},
		"T1 (°C) /10": {"T1 (°C)", 10}, "T1 (/10)": {"T1", 10}, "T1 (°C, /10)": {"T1 (°C)", 10}, "T1 ÷10 (°C)": {"T1 (°C)", 10}, "T1 (div 10)": {"T1", 10}, "T1 divided by 10 (°C)": {"T1 (°C)", 10},
		"T1 geteilt durch 10 (°C)": {"T1 (°C)", 10}, "Temp1/1000 [°C]": {"Temp1 [°C]", 1000}, "Probe 1/10 (°C)": {"Probe 1 (°C)", 10},
		"l/100 km": {"", 0}, "Fuel (l/100km)": {"", 0}, "T1/T10 (°C)": {"", 0}, "T1 (°C)": {"", 0}, "1/2 (°C)": {"", 0}, "T1/101 (°C)": {"", 0}, "T1/15 (°C)": {"", 0},
	} {
		rest, counts := CutDivided(header)
		if rest != want.rest && counts > 0 || counts != want.counts {
			t.Errorf("%q: %q and %v, want %q and %v", header, rest, counts, want.rest, want.counts)
		}
	}
}
