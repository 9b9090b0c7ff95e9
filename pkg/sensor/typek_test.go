package sensor_test

import (
	"bufio"
	"errors"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	. "github.com/bonnetbook/bonnetbook/pkg/sensor"
)

// printed reads testdata/typek_printed.txt: the tables of NIST Monograph 175,
// °C and mV with three decimals.
func printed(t *testing.T) [][2]float64 {
	t.Helper()
	f, err := os.Open("testdata/typek_printed.txt")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var rows [][2]float64
	for s := bufio.NewScanner(f); s.Scan(); {
		if strings.HasPrefix(s.Text(), "#") {
			continue
		}
		var c, mv float64
		if _, err := fmt.Sscan(s.Text(), &c, &mv); err != nil {
			t.Fatal(err)
		}
		rows = append(rows, [2]float64{c, mv})
	}
	if len(rows) != 157 {
		t.Fatalf("%d rows", len(rows))
	}
	return rows
}

func TestTypeKPrintedTable(t *testing.T) {
	for _, r := range printed(t) {
		v, err := TypeKVoltage(quantity.Celsius(r[0]))
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(v.Millivolts()-r[1]) > 0.00051 { // half the last printed digit
			t.Errorf("%g °C: %.5f mV, printed %.3f", r[0], v.Millivolts(), r[1])
		}
		back, err := TypeKTemperature(Voltage(r[1]) * Millivolt)
		if err != nil {
			t.Fatal(err)
		}
		sensitivity, _ := TypeKSensitivity(quantity.Celsius(r[0]))
		if tolerance := 0.00051e-3 / sensitivity; math.Abs(back.Celsius()-r[0]) > tolerance {
			t.Errorf("%.3f mV: %.4f °C, printed %g", r[1], back.Celsius(), r[0])
		}
	}
}

// The two directions agree within 1 mK everywhere, and the published inverse
// polynomial lies within its own stated error (−0.05 °C to 0.06 °C, NIST
// Monograph 175) of ours: the polynomial is evaluated here from its
// coefficients, apart from the package's code.
func TestTypeKInverse(t *testing.T) {
	pieces := []struct {
		from, to, below, above float64
		d                      []float64
	}{
		{-5.891, 0, -0.02, 0.04, []float64{0, 2.5173462e+01, -1.1662878, -1.0833638, -8.9773540e-01, -3.7342377e-01, -8.6632643e-02, -1.0450598e-02, -5.1920577e-04}},
		{0, 20.644, -0.05, 0.04, []float64{0, 2.508355e+01, 7.860106e-02, -2.503131e-01, 8.315270e-02, -1.228034e-02, 9.804036e-04, -4.413030e-05, 1.057734e-06, -1.052755e-08}},
		{20.644, 54.886, -0.05, 0.06, []float64{-1.318058e+02, 4.830222e+01, -1.646031, 5.464731e-02, -9.650715e-04, 8.802193e-06, -3.110810e-08}},
	}
	for _, p := range pieces {
		for i := 0; i <= 1000; i++ {
			mv := p.from + (p.to-p.from)*float64(i)/1000
			got, err := TypeKTemperature(Voltage(mv) * Millivolt)
			if err != nil {
				t.Fatal(err)
			}
			forward, err := TypeKVoltage(got)
			if err != nil && i != 0 && i != 1000 {
				t.Fatal(err)
			}
			slope, _ := TypeKSensitivity(got)
			if err == nil && math.Abs(float64(forward)-mv*1e-3)/slope > 1e-3 {
				t.Errorf("%.5f mV: forward of inverse %.6f", mv, forward.Millivolts())
			}
			approximate := 0.0
			for k := len(p.d) - 1; k >= 0; k-- {
				approximate = approximate*mv + p.d[k]
			}
			if d := approximate - got.Celsius(); d < p.below-0.005 || d > p.above+0.005 {
				t.Errorf("%.5f mV: polynomial less inverse %.4f °C", mv, d)
			}
		}
	}
}

func TestTypeKRange(t *testing.T) {
	for _, c := range []float64{-270.001, 1372.001, math.NaN(), math.Inf(1)} {
		if v, err := TypeKVoltage(quantity.Celsius(c)); !errors.Is(err, ErrOutOfRange) || !math.IsNaN(float64(v)) {
			t.Errorf("%v °C: %v, %v", c, v, err)
		}
	}
	for _, mv := range []float64{-5.9, 54.9, math.NaN(), 9.9e37} {
		if k, err := TypeKTemperature(Voltage(mv) * Millivolt); !errors.Is(err, ErrOutOfRange) || k.IsValid() {
			t.Errorf("%v mV: %v, %v", mv, k, err)
		}
	}
}

// A junction at 100 °C with terminals at 25 °C gives 4.096 − 1.000 mV (printed
// table); adding temperatures instead would read 100.9 °C.
func TestColdJunction(t *testing.T) {
	got, err := ColdJunction(3.096*Millivolt, quantity.Celsius(25))
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(got.Celsius()-100) > 0.0105/0.0414*0.1 { // a printed digit, twice
		t.Errorf("%.3f °C, want 100", got.Celsius())
	}
}

// Tolerances of IEC 60584-1:2013 at the corners of its table.
func TestTolerance(t *testing.T) {
	for _, c := range []struct {
		class   Class
		at, tol float64
	}{
		{Class1, -40, 1.5}, {Class1, 375, 1.5}, {Class1, 1000, 4},
		{Class2, 333, 2.5}, {Class2, 1200, 9}, {Class3, -167, 2.505}, {Class3, -200, 3}, {Class3, 40, 2.5},
		{ASTMStandard, 100, 2.2}, {ASTMSpecial, 500, 2}, // ASTM E230
	} {
		got, err := c.class.Tolerance(quantity.Celsius(c.at))
		if err != nil || math.Abs(got.Kelvins()-c.tol) > 1e-9 {
			t.Errorf("%v at %v °C: %v %v, want %v K", c.class, c.at, got, err, c.tol)
		}
	}
	if _, err := Class1.Tolerance(quantity.Celsius(1001)); !errors.Is(err, ErrOutOfRange) {
		t.Errorf("class 1 at 1001 °C: %v", err)
	}
	// By hand 2.5/√3, as JCGM 100, 4.3.7, and a calibrator maker's course on
	// uncertainty ("if no other information is provided") have it.
	u, _ := Class2.StandardUncertainty(quantity.Celsius(60))
	if math.Abs(u.Kelvins()-1.4434) > 1e-4 {
		t.Errorf("class 2 standard uncertainty %v", u.Kelvins())
	}
}

func BenchmarkTypeKTemperature(b *testing.B) {
	for b.Loop() {
		TypeKTemperature(3.35 * Millivolt)
	}
}
