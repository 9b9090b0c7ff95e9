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
		{"fmt.println(3)", "capital letter: fmt.Println"},
		{"printf(\"x\")", "did you mean fmt.Printf?"},
		{"null", "did you mean nil?"},
		{"rise := 5 kelvin", "quantity.KelvinDifference(5)"},
		{"humidity := 50 %", "50 * quantity.PercentHumidity"},
		{"name := ‘open’", "straight quotes"},
		{"fmt.Println(„open“)", "straight quotes"},
		{"list := [1, 2, 3]", "[]float64{1, 2, 3}"},
		{"two := 2\ntwo ** 2", "math.Pow"},
		{"}", "closed that was not opened"},
		{"name := open filters", "stands in quotes"},
		{"fmt.Println(open filters, first run)", "stands in quotes"},
		{"fmt.Println(campaign.toml)", `quotes: "campaign.toml"`},
		{"quantity,Celsius(20)", "quantity is a package"},
		{"air.Density(3)", "use bonnetbook"},
		{"Must(3, nil)", "Run a cell that says use bonnetbook first"},
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

// After use bonnetbook, names of the library are near, and a package's name
// in capitals is that package.
func TestSlipsBesideTheLibrary(t *testing.T) {
	nb := newNotebook(t)
	if r := nb.run("use bonnetbook", 0); r.Err != nil || len(r.Values) > 0 {
		t.Fatal(r.Err, r.Values)
	}
	for src, want := range map[string]string{"must(3, nil)": "did you mean Must?", "Shw(3)": "did you mean Show?", "Campaign.Open(3)": "did you mean campaign?"} {
		if r := nb.run(src, 0); r.Err == nil || r.Err.Hint != want {
			t.Errorf("%q: %v, want the hint %q", src, r.Err, want)
		}
	}
}

// A decimal comma that compiles is told: Go takes 57,5 for two numbers.
func TestDecimalCommas(t *testing.T) {
	for text, want := range map[string]int{
		"57,5": 1, "x := 3\n57,5": 1, "57,5;": 1, "rises := []float64{20,5, 18,3}": 2, "f(20,5, x)": 1,
		"57, 5": 0, "[]int{1,2,3}": 0, "[]int{1,2}": 0, "[]int{1,2,3, 4}": 0, "f(1.5,2, x)": 0, "a, b": 0, "x := \"57,5\"": 0,
		"f(x,5, 3)": 0, "// 57,5\nx": 0, "{57,5": 0, ")57,5, 3": 0,
	} {
		if got := decimalCommas([]byte(text)); len(got) != want {
			t.Errorf("%q: %d notes, want %d: %q", text, len(got), want, got)
		}
	}
	nb := newNotebook(t)
	if r := nb.run("57,5", 0); r.Err != nil || len(r.Notices) != 1 || !strings.Contains(r.Notices[0], "57.5") {
		t.Errorf("%+v", r)
	}
}

// An error that the library ends a cell with stands for itself; panic opens
// no message but Go's.
func TestNoPanicBeforeOurErrors(t *testing.T) {
	nb := newNotebook(t)
	if r := nb.run("use bonnetbook", 0); r.Err != nil {
		t.Fatal(r.Err)
	}
	for src, want := range map[string]string{
		`Must(campaign.Open("nosuch.toml"))`:                                  "there is no campaign file",
		`Must0(os.Remove("nosuch.toml"))`:                                     "remove nosuch.toml",
		`series.Grid(series.Interval{From: 0, To: 1}, 0)`:                     "series.Grid: step 0 s",
		`quantity.KindNumber.Unit("furlong")`:                                 "furlong",
		"func open() any { return Must(campaign.Open(\"no.toml\")) }\nopen()": "there is no campaign file",
	} {
		r := nb.run(src, 0)
		if r.Err == nil || r.Err.Kind != Failed || !strings.HasPrefix(r.Err.Message, want) && !strings.Contains(r.Err.Message, want) || strings.HasPrefix(r.Err.Traceback(), "panic") || r.Err.Line == 0 {
			t.Errorf("%s: %+v", src, r.Err)
		}
	}
	if r := nb.run("fmt.Println([]int{}[len(\"a\")])", 0); r.Err == nil || r.Err.Kind != Panic || !strings.HasPrefix(r.Err.Message, "panic: ") {
		t.Errorf("Go's own: %+v", r.Err)
	}
}
