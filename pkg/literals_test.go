package pkg_test

import (
	"fmt"
	"go/ast"
	"go/constant"
	"go/parser"
	"go/token"
	"io/fs"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// conversions are numbers that turn one unit into another. They stand in
// package quantity only, which has a unit for each.
var conversions = []struct {
	value float64
	what  string
}{
	{273.15, "0 °C in kelvin"}, {459.67, "0 °F in °R"}, {1.8, "°F in K"}, {5.0 / 9, "K in °F"},
	{3.6, "m/s in km/h"}, {1 / 3.6, "km/h in m/s"}, {0.44704, "mph in m/s"}, {2.23694, "m/s in mph"}, {1.609344, "miles in km"}, {0.621371, "km in miles"},
	{1852, "nautical miles in m"}, {0.514444, "knots in m/s"}, {1.94384, "m/s in knots"},
	{101325, "standard atmospheres in Pa"}, {1013.25, "standard atmospheres in hPa"}, {133.322, "mmHg in Pa"}, {3386.39, "inHg in Pa"}, {6894.76, "psi in Pa"},
	{735.499, "metric horsepower in W"}, {745.7, "mechanical horsepower in W"},
	{0.3048, "feet in m"}, {0.0254, "inches in m"}, {25.4, "inches in mm"}, {1.63871e-5, "cubic inches in m³"}, {16.3871, "cubic inches in cm³"},
	{0.453592, "pounds in kg"}, {4.44822, "pounds-force in N"}, {1.35582, "lbf·ft in N·m"}, {9.80665, "standard gravity"},
	{math.Pi / 180, "degrees in rad"}, {180 / math.Pi, "rad in degrees"},
}

// formulaNumbers are numbers of published formulas, and tolerances, that only
// look like conversions: file, number, why.
var formulaNumbers = []struct{ file, number, why string }{
	{"duct/friction.go", "1.8", "Haaland's estimate of the friction factor"},
	{"thermostat/bend.go", "1.8", "a threshold in K, found by trial"},
}

// apart are folders that the rule does not reach: the judge shares nothing
// with what it judges, the table of units included.
var apart = []string{"internal/judge/"}

// No conversion by hand: a factor that stands in one place can be right or
// wrong only once.
func TestConversionsStandInQuantity(t *testing.T) {
	used := make([]bool, len(formulaNumbers))
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		path = filepath.ToSlash(path)
		if strings.HasPrefix(path, "quantity/") || slices.ContainsFunc(apart, func(f string) bool { return strings.HasPrefix(path, f) }) {
			return nil
		}
		found, err := conversionsIn(path, nil)
		for _, f := range found {
			allowed := false
			for i, n := range formulaNumbers {
				if n.file == path && n.number == f.text {
					allowed, used[i] = true, true
				}
			}
			if !allowed {
				t.Errorf("%s:%d: %s is %s: use package quantity (or say in formulaNumbers of this test which published formula it belongs to)", path, f.line, f.text, f.what)
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	for i, n := range formulaNumbers {
		if !used[i] {
			t.Errorf("%s holds no %s any more: take it off the list", n.file, n.number)
		}
	}
}

type conversion struct {
	line       int
	text, what string
}

// conversionsIn finds numbers, and quotients of two numbers or of a number and
// π, that convert units.
func conversionsIn(path string, source any) ([]conversion, error) {
	set := token.NewFileSet()
	file, err := parser.ParseFile(set, path, source, parser.SkipObjectResolution)
	if err != nil {
		return nil, err
	}
	var found []conversion
	ast.Inspect(file, func(n ast.Node) bool {
		e, ok := n.(ast.Expr)
		if !ok {
			return true
		}
		x, text, ok := numberOf(e)
		if !ok {
			return true
		}
		for _, c := range conversions {
			if math.Abs(x-c.value) <= 2e-5*c.value {
				found = append(found, conversion{set.Position(e.Pos()).Line, text, c.what})
				return false
			}
		}
		return true
	})
	return found, nil
}

// numberOf returns the value of a literal, of math.Pi, of a quotient of two
// such, or of x*180/math.Pi's last two.
func numberOf(e ast.Expr) (value float64, text string, ok bool) {
	switch e := e.(type) {
	case *ast.BasicLit:
		if e.Kind != token.INT && e.Kind != token.FLOAT {
			return 0, "", false
		}
		v, _ := constant.Float64Val(constant.ToFloat(constant.MakeFromLiteral(e.Value, e.Kind, 0)))
		return v, e.Value, true
	case *ast.SelectorExpr:
		if p, isIdent := e.X.(*ast.Ident); isIdent && p.Name == "math" && e.Sel.Name == "Pi" {
			return math.Pi, "math.Pi", true
		}
	case *ast.BinaryExpr:
		left := e.X
		if product, isBinary := left.(*ast.BinaryExpr); isBinary && e.Op == token.QUO && (product.Op == token.MUL || product.Op == token.QUO) {
			left = product.Y // x*180/math.Pi, x*5/9
			if product.Op == token.QUO {
				return 0, "", false
			}
		}
		a, at, okA := numberOf(left)
		b, bt, okB := numberOf(e.Y)
		if e.Op == token.QUO && okA && okB && b != 0 {
			return a / b, at + "/" + bt, true
		}
	}
	return 0, "", false
}

// The search finds what it is there for, and lets other numbers pass.
func TestConversionsAreFound(t *testing.T) {
	for _, c := range []struct {
		source string
		want   int
	}{
		{"x - 273.15", 1}, {"3.6*x", 1}, {"x / 3.6", 1}, {"(x - 32) * 5 / 9", 1}, {"x*5.0/9 + 273.15", 2}, {"x*180/math.Pi", 1}, {"x * (math.Pi / 180)", 1},
		{"x * math.Pi / 180", 1}, {"1 / 1.609344 * x", 1}, {"x * 1.3332e2", 1}, {"x * 1.33e2", 0}, {"x * 133.3224", 1}, {"x * 101325 / 760", 1}, {"18 * x", 0}, {"x / 9", 0}, {"2 * math.Pi * x", 0}, {"x * 3600", 0},
	} {
		found, err := conversionsIn("x.go", fmt.Sprintf("package p\nvar y = %s\n", c.source))
		if err != nil || len(found) != c.want {
			t.Errorf("%s: found %v, %v; want %d", c.source, found, err, c.want)
		}
	}
}
