package published

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"strings"
	"testing"
)

// Check says what a formula of a package was compared with outside the project.
type Check struct {
	// Formula is the name of the function that holds it, "Type.Method" for a
	// method, with more behind a comma.
	Formula string
	// First and Second are outside checks that are not the same formula worked
	// again: the name of the test, a colon and what it compares with. A formula
	// with fewer than two is unchecked.
	First, Second string
	// Tried says of an unchecked formula what was looked for, and what widens the
	// band that uses it.
	Tried string
}

// Unchecked reports whether the formula has fewer than two outside checks.
func (c Check) Unchecked() bool { return c.First == "" || c.Second == "" }

// Table tests that each exported function of the package in the folder whose
// documentation cites a source stands in the table, that each test that the
// table names is there, and that each unchecked formula says what was tried. It
// logs which those are.
func Table(t *testing.T, folder string, table []Check) {
	t.Helper()
	cited, tests := functions(t, folder)
	for _, c := range table {
		name, _, _ := strings.Cut(c.Formula, ",")
		delete(cited, name)
		for _, check := range []string{c.First, c.Second} {
			if test, with, ok := strings.Cut(check, ": "); check != "" && (!ok || !tests[test] || with == "") {
				t.Errorf("%s: there is no test for %q", c.Formula, check)
			}
		}
		if c.Unchecked() {
			t.Logf("unchecked: %s; %s", c.Formula, c.Tried)
			if c.Tried == "" {
				t.Errorf("%s is unchecked, and the table doesn't say what was tried", c.Formula)
			}
		}
	}
	for name := range cited {
		t.Errorf("%s cites a source and does not stand in the table of outside checks", name)
	}
}

// functions returns the exported functions that cite a source and the tests.
func functions(t *testing.T, folder string) (cited, tests map[string]bool) {
	t.Helper()
	cited, tests = map[string]bool{}, map[string]bool{}
	files, err := filepath.Glob(filepath.Join(folder, "*.go"))
	if err != nil || len(files) == 0 {
		t.Fatalf("%s: %d files, %v", folder, len(files), err)
	}
	for _, name := range files {
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.ParseComments)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range file.Decls {
			f, ok := d.(*ast.FuncDecl)
			switch {
			case !ok:
			case strings.HasPrefix(f.Name.Name, "Test"):
				tests[f.Name.Name] = true
			case f.Name.IsExported() && strings.Contains(f.Doc.Text(), "Source:"):
				cited[named(f)] = true
			}
		}
	}
	return cited, tests
}

func named(f *ast.FuncDecl) string {
	if f.Recv == nil {
		return f.Name.Name
	}
	of := f.Recv.List[0].Type
	if star, pointer := of.(*ast.StarExpr); pointer {
		of = star.X
	}
	if id, ok := of.(*ast.Ident); ok {
		return id.Name + "." + f.Name.Name
	}
	return f.Name.Name
}
