package interpreter

import (
	"strings"
	"testing"
)

// The slips of somebody's first evening each get a hint that says what to
// write. The errors themselves are the compiler's.
func TestSlipsOfTheFirstEvening(t *testing.T) {
	nb := newNotebook(t)
	if r := nb.run("import (\n\t\"fmt\"\n\t\"github.com/bonnetbook/bonnetbook/pkg/quantity\"\n\t\"github.com/bonnetbook/bonnetbook/pkg/sensor\"\n)\nwarm := quantity.Celsius(20)", 0); r.Err != nil {
		t.Fatal(r.Err)
	}
	for _, c := range []struct{ src, hint string }{
		{"reading := 57,5", "57.5"},
		{"quantity.Celsius(57,5)", "57.5"},
		{"var reading float64 = 57,5", "57.5"},
		{"qnh := 1012 hPa", "1012 * quantity.Hectopascal"},
		{"speed := 50 km/h", "50 * quantity.KilometrePerHour"},
		{"wait := 20 s", "20 * time.Second"},
		{"rise := 5 K", "quantity.KelvinDifference(5)"},
		{"outside := 20 °C", "quantity.Celsius(20)"},
		{"outside := 20.5 °F", "quantity.Fahrenheit(20.5)"},
		{"quantity.Celsius(20)+5", "KelvinDifference"},
		{"5 + warm", "KelvinDifference"},
		{"sensor.Class2.Tolerance(45)", "quantity.Celsius(45)"},
		{"var t quantity.Temperature = 20", "quantity.Celsius(20)"},
		{"quantity.Celsius(\"20\")", "without them: 20"},
		{"warm - quantity.Celsius(10)", "a.Sub(b)"},
		{"warm > quantity.Celsius(10)", "a.Compare(b)"},
		{`path := "C:\Users\me"`, `"C:/logs/a.csv"`},
		{`path := "D:\logs"`, `"C:/logs/a.csv"`},
		{"name := “open filters”", "straight quotes"},
		{"quantity Celsius(20)", "quantity.Celsius"},
		{"quantityCelsius(20)", "did you mean quantity.Celsius?"},
		{"Celsius(20)", "did you mean quantity.Celsius?"},
		{"Println(3)", "did you mean fmt.Println?"},
		{"fmt.Println \"x\"", `fmt.Println("x")`},
		{"fmt.Printn(\"x\")", "did you mean fmt.Println?"},
		{"reading = 57.5", "use := to make a new variable"},
	} {
		r := nb.run(c.src, 0)
		if r.Err == nil {
			t.Errorf("%q: no error", c.src)
		} else if !strings.Contains(r.Err.Hint, c.hint) {
			t.Errorf("%q: %s\nhint: %s\nwant: %s", c.src, r.Err.Message, r.Err.Hint, c.hint)
		}
	}
}

// What only looks like a slip gets no such hint.
func TestNoSlip(t *testing.T) {
	nb := newNotebook(t)
	for _, c := range []struct{ src, not string }{
		{"func two(a int) {}\ntwo(1, 2)", "decimal"},
		{"func none() {}\nnone(1)", "decimal"},
		{"x := 3 y", "unit"},
		{"return x (", "dot"},
		{"var s string = 3", "scale"},
	} {
		if r := nb.run(c.src, 0); r.Err != nil && strings.Contains(r.Err.Hint, c.not) {
			t.Errorf("%q: hint: %s", c.src, r.Err.Hint)
		}
	}
}

// Every unit that a hint names is one of the library.
func TestFactorsExist(t *testing.T) {
	nb := newNotebook(t)
	if r := nb.run("import (\n\t\"time\"\n\t\"github.com/bonnetbook/bonnetbook/pkg/quantity\"\n)", 0); r.Err != nil {
		t.Fatal(r.Err)
	}
	for unit, how := range factors {
		code, _, _ := strings.Cut(how, " (")
		if r := nb.run("_ = "+strings.ReplaceAll(code, "N", "3"), 0); r.Err != nil {
			t.Errorf("%s: %s: %v", unit, how, r.Err)
		}
	}
}
