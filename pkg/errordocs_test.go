package pkg_test

import (
	"go/ast"
	"go/doc"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// saysWhen are the words by which a comment tells when a function fails.
var saysWhen = regexp.MustCompile(`(?i)\b(errors?|fails?|failed|refuses?|refused|Err[A-Z]\w*|problems?)\b`)

// An exported function that returns an error says when, so that a person who
// calls it need not read it.
func TestErrorsAreDocumented(t *testing.T) {
	for path, p := range packages(t) {
		for _, f := range append(allFuncs(p), p.Funcs...) {
			if returnsError(f.Decl) && !saysWhen.MatchString(f.Doc) {
				t.Errorf("%s: %s returns an error and its comment does not say when", path, f.Name)
			}
		}
	}
}

// packages returns the documentation of every package below this folder that a
// user can import.
func packages(t *testing.T) map[string]*doc.Package {
	t.Helper()
	all := map[string]*doc.Package{}
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || !d.IsDir() || path == "." {
			return err
		}
		if name := d.Name(); name == "testdata" || name == "internal" {
			return fs.SkipDir
		}
		files, err := filepath.Glob(filepath.Join(path, "*.go"))
		if err != nil {
			return err
		}
		set := token.NewFileSet()
		var parsed []*ast.File
		for _, f := range files {
			if strings.HasSuffix(f, "_test.go") {
				continue
			}
			file, err := parser.ParseFile(set, f, nil, parser.ParseComments)
			if err != nil {
				return err
			}
			if file.Name.Name != "main" {
				parsed = append(parsed, file)
			}
		}
		if len(parsed) == 0 {
			return nil
		}
		all[path], err = doc.NewFromFiles(set, parsed, path)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(all) < 15 {
		t.Fatalf("only %d packages found", len(all))
	}
	return all
}

func allFuncs(p *doc.Package) (all []*doc.Func) {
	for _, ty := range p.Types {
		all = append(append(all, ty.Funcs...), ty.Methods...)
	}
	return all
}

func returnsError(f *ast.FuncDecl) bool {
	if f.Type.Results == nil {
		return false
	}
	for _, r := range f.Type.Results.List {
		if id, ok := r.Type.(*ast.Ident); ok && id.Name == "error" {
			return true
		}
	}
	return false
}
