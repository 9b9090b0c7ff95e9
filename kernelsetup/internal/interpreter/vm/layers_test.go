package vm

import (
	"bytes"
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// TestLayers holds the package to the order of its files in doc.go: a file
// uses functions, variables and constants of those before it, never of one
// after it.
func TestLayers(t *testing.T) {
	order := documentedOrder(t)
	names, _ := filepath.Glob("*.go")
	for _, name := range names {
		file := strings.TrimSuffix(name, ".go")
		if !strings.HasSuffix(name, "_test.go") && file != "doc" && !slices.Contains(order, file) {
			t.Errorf("%s is in no layer of doc.go", name)
		}
	}
	all := arrows(t)
	if len(all) < 100 {
		t.Errorf("only %d arrows found", len(all))
	}
	upward := 0
	for a, what := range all {
		from, to := slices.Index(order, a.from), slices.Index(order, a.to)
		if from < to {
			upward++
			slices.Sort(what)
			t.Errorf("%s.go uses %s of %s.go, which stands above it", a.from, strings.Join(what, ", "), a.to)
		}
	}
	t.Logf("%d arrows, %d upward", len(all), upward)
}

// documentedOrder reads the files' order, from the bottom, from the indented
// lines of the package's documentation: "layer: file file".
func documentedOrder(t *testing.T) (order []string) {
	t.Helper()
	f, err := parser.ParseFile(token.NewFileSet(), "doc.go", nil, parser.ParseComments)
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(f.Doc.Text()) {
		_, files, ok := strings.Cut(line, ": ")
		if !ok || !strings.HasPrefix(line, "\t") {
			continue
		}
		for _, file := range strings.Fields(files) {
			if slices.Contains(order, file) {
				t.Errorf("%s stands in two layers", file)
			}
			if _, err := os.Stat(file + ".go"); err != nil {
				t.Error(err)
			}
			order = append(order, file)
		}
	}
	return order
}

// An arrow is a use, in one file, of a function, variable or constant that
// another one declares.
type arrow struct{ from, to string }

// arrows returns the arrows between the package's files, each with what is used.
func arrows(t *testing.T) map[arrow][]string {
	t.Helper()
	exported := exportData(t)
	fset := token.NewFileSet()
	var files []*ast.File
	names, _ := filepath.Glob("*.go")
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(fset, name, nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, f)
	}
	info := &types.Info{Uses: map[*ast.Ident]types.Object{}}
	conf := types.Config{Importer: importer.ForCompiler(fset, "gc", func(path string) (io.ReadCloser, error) { return os.Open(exported[path]) })}
	pkg, err := conf.Check("vm", fset, files, info)
	if err != nil {
		t.Fatal(err)
	}
	file := func(pos token.Pos) string { return strings.TrimSuffix(fset.Position(pos).Filename, ".go") }
	out := map[arrow][]string{}
	for id, obj := range info.Uses {
		if obj.Pkg() != pkg || !layered(obj) {
			continue
		}
		a := arrow{file(id.Pos()), file(obj.Pos())}
		if a.from != a.to && !slices.Contains(out[a], obj.Name()) {
			out[a] = append(out[a], obj.Name())
		}
	}
	return out
}

// layered leaves out types and their fields, which know each other: a thread
// its run, the run its machine, the machine its threads.
func layered(obj types.Object) bool {
	switch obj := obj.(type) {
	case *types.Func:
		return true
	case *types.Var:
		return !obj.IsField() && obj.Parent() == obj.Pkg().Scope()
	case *types.Const:
		return obj.Parent() == obj.Pkg().Scope()
	}
	return false
}

// exportData returns the files with the types of all that the package imports.
func exportData(t *testing.T) map[string]string {
	t.Helper()
	list, err := exec.Command("go", "list", "-export", "-deps", "-f", "{{.ImportPath}}={{.Export}}", ".").Output()
	if err != nil {
		t.Skip("no go command to ask: ", err)
	}
	out := map[string]string{}
	for line := range bytes.Lines(list) {
		path, file, _ := strings.Cut(strings.TrimSpace(string(line)), "=")
		out[path] = file
	}
	return out
}
