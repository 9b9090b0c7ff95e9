package quantity_test

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	. "github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Fixed points of the scales: NIST SP 811 (2008) B.8: t/°F = 1.8 t/°C + 32,
// T/K = t/°C + 273.15; -40 is the same on both.
func TestTemperatureScales(t *testing.T) {
	for _, c := range []struct{ k, c, f float64 }{
		{233.15, -40, -40}, {273.15, 0, 32}, {310.15, 37, 98.6}, {373.15, 100, 212},
	} {
		for _, got := range []Temperature{Kelvin(c.k), Celsius(c.c), Fahrenheit(c.f)} {
			if math.Abs(got.Kelvin()-c.k)+math.Abs(got.Celsius()-c.c)+math.Abs(got.Fahrenheit()-c.f) > 1e-10 {
				t.Errorf("got %v K %v °C %v °F, want %v", got.Kelvin(), got.Celsius(), got.Fahrenheit(), c)
			}
		}
	}
}

// A difference of 90 °F is 50 K and never 32 °C.
func TestDifferenceHasNoOffset(t *testing.T) {
	if d := FahrenheitDifference(90); math.Abs(d.Kelvins()-50) > 1e-12 {
		t.Errorf("90 °F of difference = %v", d)
	}
	if f := KelvinDifference(30).FahrenheitDegrees(); math.Abs(f-54) > 1e-12 {
		t.Errorf("30 K of difference = %v °F, want 54", f)
	}
	if d := Celsius(60).Sub(Celsius(30)); math.Abs(d.Kelvins()-30) > 1e-12 {
		t.Errorf("60 °C - 30 °C = %v", d)
	}
}

// Factors from NIST SP 811 (2008), appendix B.8, to the digits printed there.
func TestFactorsNIST811(t *testing.T) {
	for _, c := range []struct {
		unit      string
		got, want float64
	}{
		{"inch of mercury, conventional", float64(InchOfMercury), 3.386389e3},
		{"psi", float64(PoundPerSquareInch), 6.894757e3},
		{"standard atmosphere", float64(StandardAtmosphere), 1.01325e5},
		{"mile per hour", float64(MilePerHour), 4.4704e-1},
		{"knot", float64(Knot), 5.144444e-1},
		{"km/h", float64(KilometrePerHour), 2.777778e-1},
		{"cubic inch", float64(CubicInch), 1.638706e-5},
		{"pound", float64(Pound), 4.535924e-1},
		{"horsepower (550 ft·lbf/s)", float64(MechanicalHorsepower), 7.456999e2},
		{"horsepower (metric)", float64(MetricHorsepower), 7.354988e2},
		{"foot pound-force", float64(PoundForceFoot), 1.355818},
		{"kilogram-force metre", float64(KilogramForceMetre), 9.80665},
		{"degree", float64(Degree), 1.745329e-2},
		{"kilowatt hour", float64(KilowattHour), 3.6e6},
	} {
		if math.Abs(c.got-c.want) > 5e-7*c.want {
			t.Errorf("%s: %v, printed %v", c.unit, c.got, c.want)
		}
	}
}

// What must not compile does not: two temperatures have no sum, a difference
// is no temperature, a pressure is no density.
func TestMistakesDoNotCompile(t *testing.T) {
	goTool, err := exec.LookPath("go")
	if err != nil {
		t.Skip("no go tool on PATH")
	}
	here, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ expr, want string }{
		{"Celsius(20) + Celsius(30)", "operator + not defined"},
		{"Celsius(20).Add(Celsius(30))", "cannot use"},
		{"Temperature(KelvinDifference(3))", "cannot convert"},
		{"TemperatureDifference(Celsius(3))", "cannot convert"},
		{"Pascal + KilogramPerCubicMetre", "mismatched types"},
		{"2 * Celsius(20)", "mismatched types"},
	} {
		dir, err := os.MkdirTemp(here, "_compile")
		if err != nil {
			t.Fatal(err)
		}
		defer os.RemoveAll(dir)
		src := "package main\nimport . \"github.com/bonnetbook/bonnetbook/pkg/quantity\"\nvar _ = " + c.expr + "\nfunc main() {}\n"
		file := filepath.Join(dir, "main.go")
		if err := os.WriteFile(file, []byte(src), 0o644); err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command(goTool, "vet", file).CombinedOutput()
		if err == nil || !strings.Contains(string(out), c.want) {
			t.Errorf("%s: err %v, output %q, want %q", c.expr, err, out, c.want)
		}
	}
}

func ExampleTemperature() {
	intake, ambient := Celsius(57), Fahrenheit(80.6)
	rise := intake.Sub(ambient)
	fmt.Println(intake, ambient, rise)
	fmt.Printf("%.1f °F of difference\n", rise.FahrenheitDegrees())
	// Output:
	// 57.0 °C 27.0 °C 30.0 K
	// 54.0 °F of difference
}
