package abi

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os/exec"
	"path/filepath"
	"reflect"
	"runtime"
	"strings"
	"testing"
)

// Every struct has the fields of Go's own, in the same order with the same
// sizes' types, in the source of the toolchain that runs this test.
func TestMirrorsGo(t *testing.T) {
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Skip("no go command: ", err)
	}
	src := filepath.Join(strings.TrimSpace(string(root)), "src")
	own := map[string]reflect.Type{}
	for _, l := range layouts {
		own[l.Name()] = l
	}
	own["EmptyInterface"] = own["Words"]
	own["slice"] = own["Slice"]
	for _, name := range []string{"Words", "Slice", "Closure"} { // Go has other names, or none
		delete(own, name)
	}
	for file, names := range map[string][]string{
		"internal/abi/type.go":  {"Type", "UncommonType", "Method", "Imethod", "StructField", "ArrayType", "ChanType", "FuncType", "InterfaceType", "PtrType", "SliceType", "StructType"},
		"internal/abi/map.go":   {"MapType"},
		"internal/abi/iface.go": {"ITab", "EmptyInterface"},
		"runtime/slice.go":      {"slice"},
		"runtime/error.go":      {"TypeAssertionError"},
	} {
		fields := structFields(t, filepath.Join(src, file))
		for _, name := range names {
			want, l := fields[name], own[name]
			delete(own, name)
			if len(want) != l.NumField() {
				t.Errorf("%s of %s has %d fields in Go, %d here: %v", name, runtime.Version(), len(want), l.NumField(), want)
				continue
			}
			for i, w := range want {
				if w == "array" {
					w = "Data" // of slice: the better name
				}
				if h := l.Field(i).Name; !strings.EqualFold(strings.Trim(w, "_"), strings.Trim(h, "_")) {
					t.Errorf("field %d of %s is %s in Go %s, %s here", i, name, w, Release, h)
				}
			}
		}
	}
	for name := range own {
		t.Errorf("%s is not compared", name)
	}
}

// structFields returns the names of the fields of all structs of a file; an
// embedded one has its type's.
func structFields(t *testing.T, name string) map[string][]string {
	file, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	found := map[string][]string{}
	ast.Inspect(file, func(n ast.Node) bool {
		spec, ok := n.(*ast.TypeSpec)
		if !ok {
			return true
		}
		s, ok := spec.Type.(*ast.StructType)
		if !ok {
			return true
		}
		list := []string{}
		for _, f := range s.Fields.List {
			for _, n := range f.Names {
				list = append(list, n.Name)
			}
			if len(f.Names) == 0 {
				list = append(list, f.Type.(*ast.Ident).Name)
			}
		}
		found[spec.Name.Name] = list
		return true
	})
	return found
}
