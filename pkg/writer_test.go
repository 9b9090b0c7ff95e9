package pkg_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strings"
	"testing"
)

// writing are functions of package os that can leave half a file behind.
var writing = map[string]bool{"WriteFile": true, "Create": true, "CreateTemp": true, "OpenFile": true, "Rename": true, "Truncate": true}

// ownWriters may use them: the one writer, a log of lines that is only added
// to, and commands that write what lies in the repository or a scratch folder.
var ownWriters = map[string]string{
	"internal/atomicfile":                              "the writer itself",
	"kernelsetup/internal/supervisor/bound_linux.go":   "a setting of the kernel of Linux",
	"kernelsetup/internal/supervisor/giveway_linux.go": "a setting of the kernel of Linux",
	"kernelsetup/internal/session/history.go":          "lines at the end of a file",
	"kernelsetup/internal/symbols/generate":            "generated code",
	"kernelsetup/internal/rtype/generate.go":           "generated code",
	"kernelsetup/internal/licence/generate":            "generated texts",
	"kernelsetup/internal/interpreter/vm/generate":     "generated code",
	"kernelsetup/internal/toolchain":                   "a scratch folder",
	"kernelsetup/internal/equality/compile":            "test data",
	"kernelsetup/internal/equality/compiled":           "a scratch folder",
	"kernelsetup/internal/modules/trial":               "a scratch folder",
	"internal/mutant":                                  "test data",
	"pkg/recording/bench":                              "a scratch folder",
	"pkg/internal/judge":                               "a scratch folder, and it imports nothing of ours",
}

// Whatever is written for a user goes through internal/atomicfile.
func TestOneWriter(t *testing.T) {
	used := map[string]bool{}
	owner := func(path string) string {
		for p := range ownWriters {
			if path == p || strings.HasPrefix(path, p+"/") {
				return p
			}
		}
		return ""
	}
	for _, top := range []string{"pkg", "kernelsetup", "internal"} {
		err := filepath.WalkDir(filepath.Join("..", top), func(path string, d fs.DirEntry, err error) error {
			switch {
			case err != nil:
				return err
			case d.IsDir() && (d.Name() == "testdata" || filepath.ToSlash(path) == "../kernelsetup/internal/symbols/std"):
				return fs.SkipDir // tables that name what cells may call
			case !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go"):
				return nil
			}
			f, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.SkipObjectResolution)
			if err != nil {
				return err
			}
			own := owner(strings.TrimPrefix(filepath.ToSlash(path), "../"))
			ast.Inspect(f, func(n ast.Node) bool {
				if s, ok := n.(*ast.SelectorExpr); ok && writing[s.Sel.Name] {
					if x, ok := s.X.(*ast.Ident); ok && x.Name == "os" {
						used[own] = true
						if own == "" {
							t.Errorf("%s calls os.%s: write with internal/atomicfile, so that a crash leaves no half file", path, s.Sel.Name)
						}
					}
				}
				return true
			})
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	for p := range ownWriters {
		if !used[p] {
			t.Errorf("%s writes nothing any more: take it out of the table", p)
		}
	}
}
