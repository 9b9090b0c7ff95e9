package pkg_test

import (
	"go/ast"
	"strings"
	"testing"
)

// There is one style of options: a struct named Options or Rules (or
// SomethingOptions), passed last, with a function that returns the defaults
// to start from.
func TestOptionsStartFromDefaults(t *testing.T) {
	for path, p := range packages(t) {
		defaults := map[string]bool{}
		for _, f := range append(allFuncs(p), p.Funcs...) {
			defaults[f.Name] = true
		}
		for _, ty := range p.Types {
			settings := strings.HasSuffix(ty.Name, "Options") || strings.HasSuffix(ty.Name, "Rules")
			if settings && isStruct(ty.Decl) && !defaults["Default"+ty.Name] {
				t.Errorf("%s: %s has no Default%s to start from", path, ty.Name, ty.Name)
			}
		}
	}
}

func isStruct(d *ast.GenDecl) bool {
	for _, s := range d.Specs {
		if ts, ok := s.(*ast.TypeSpec); ok {
			if _, ok := ts.Type.(*ast.StructType); ok {
				return true
			}
		}
	}
	return false
}
