package interpreter

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"strings"
	"testing"
)

// A table holds what the same literal holds that is run: here inside a
// function.
func TestTablesOfConstants(t *testing.T) {
	size := tableSize
	tableSize = 1
	defer func() { tableSize = size }()
	literals := []string{
		`[...]uint16{0: 1, 2, 5: 3, 40: 65535, 7}`,
		`[]int8{-1, 3: -128, 2 - 1, 50: 'a'}`,
		`[...]float32{1, 0.1, 1e-3, 100: 1 / 3.0}`,
		`[]float64{1 << 60, 0.1, 99: -2.5}`,
		`[40]bool{3: true, 7: !false}`,
		`[]string{"a", "b" + "c", 33: "é\x00"}`,
		`[]named{1, 2, 35: three}`,
		`[...]row{{1, "x", [2]inner{{true}, {}}}, {n: 2}, 40: {s: "y", in: [2]inner{1: {b: true}}}}`,
		`[][]rune{{'a', 'b'}, {}, {3: 'c'}}`,
		`[3][]uint64{{1, 2, 3}, 2: {9: 18446744073709551615}}`,
		`list{1, -2, 0x7f}`,
	}
	var text strings.Builder
	text.WriteString("package wheel\n\ntype named uint8\n\nconst three named = 3\n\ntype list [5]int8\n\ntype inner struct{ b bool }\n\ntype row struct {\n\tn int\n\ts string\n\tin [2]inner\n}\n\nfunc same[T any](v T) T { return v }\n\n")
	for i, lit := range literals {
		fmt.Fprintf(&text, "var T%d = %s\n\nvar R%d = func() any { return %s }()\n\n", i, lit, i, lit)
	}
	text.WriteString("var Mixed = []int{" + strings.Repeat("1, ", 40) + "same(2)}\n\nvar First = T0[5] + uint16(len(Mixed))\n")
	// The user's own package is checked whole; of another's the plain tables
	// are not seen by the checker.
	for where, files := range map[string]map[string]string{
		"own": {"wheel/wheel.go": text.String()},
		"vendor": {"go.mod": "module example.com/main\n\ngo 1.26\n\nrequire example.com/garage v1.0.0\n",
			"vendor/modules.txt":                       "# example.com/garage v1.0.0\n## explicit; go 1.26\nexample.com/garage/wheel\n",
			"vendor/example.com/garage/wheel/wheel.go": text.String()},
	} {
		t.Run(where, func(t *testing.T) {
			t.Setenv("GOFLAGS", "")
			nb, _ := moduleNotebook(t, files)
			nb.ok("import (\"fmt\"; \"reflect\"; \"example.com/garage/wheel\")")
			for i := range literals {
				if got := nb.value(fmt.Sprintf("reflect.DeepEqual(wheel.T%d, wheel.R%d)", i, i)); got != "true" {
					t.Errorf("%s: %s", literals[i], nb.value(fmt.Sprintf("fmt.Sprint(wheel.T%d, wheel.R%d)", i, i)))
				}
			}
			if got := nb.value("fmt.Sprint(wheel.Mixed[40], wheel.First)"); got != "2 44" {
				t.Errorf("beside tables: %s", got)
			}
		})
	}
	file, err := parser.ParseFile(token.NewFileSet(), "wheel.go", text.String(), 0)
	if err != nil {
		t.Fatal(err)
	}
	var plain []string
	for _, p := range liftPlain([]*ast.File{file}) {
		plain = append(plain, p.name.Name)
	}
	// The others have names, operators or functions in them.
	if got := strings.Join(plain, " "); got != "T0 T8 T9 T10" {
		t.Errorf("plain are %s", got)
	}
}
