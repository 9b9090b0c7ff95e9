package recording_test

import (
	"bytes"
	"fmt"
	"go/types"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"golang.org/x/tools/go/packages"
)

// The rooms from the ground up. Each may use those before it only; a new
// format stands beside the others and is registered in formats.go.
var rooms = []string{
	"internal/known", "internal/unit", "layout", "account", "internal/words",
	"internal/parse", "internal/cell", "internal/heading",
	"internal/source", "internal/table", "internal/format",
	"internal/plan", "internal/grid", "internal/numbers", "internal/degrees", "internal/epoch", "internal/pace", "internal/dates", "internal/detect", "internal/repair",
	"internal/delimited", "internal/sheet", "internal/spreadsheet", "internal/opendocument", "internal/binarysheet", "internal/database",
	"internal/htmltable", "internal/tracks", "internal/fitfile", "internal/gpx", "internal/nmea", "internal/jsonlines",
	"", "bench",
}

const (
	maxLines   = 2500 // of a room, without tests
	maxAgainst = 10   // arrows between files of a room that point up
)

// TestRooms holds the shape of the package: rooms use what lies below them,
// the files of a room have an order, and none grows into a hall.
func TestRooms(t *testing.T) {
	all, err := packages.Load(&packages.Config{Mode: packages.NeedName | packages.NeedImports | packages.NeedFiles | packages.NeedSyntax | packages.NeedTypes | packages.NeedTypesInfo | packages.NeedExportFile}, "./...")
	if err != nil {
		t.Skipf("packages can't be loaded: %v", err)
	}
	const root = "github.com/bonnetbook/bonnetbook/pkg/recording"
	name := func(path string) string { return strings.TrimPrefix(strings.TrimPrefix(path, root), "/") }
	for _, p := range all {
		own := slices.Index(rooms, name(p.PkgPath))
		if own < 0 {
			t.Errorf("room %s is not in the list: say on what it stands", p.PkgPath)
			continue
		}
		for path := range p.Imports {
			if strings.HasPrefix(path, root) && slices.Index(rooms, name(path)) >= own {
				t.Errorf("%s uses %s, which does not lie below it", p.PkgPath, path)
			}
		}
		lines := 0
		for _, f := range p.GoFiles {
			text, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			lines += bytes.Count(text, []byte("\n"))
		}
		if lines > maxLines {
			t.Errorf("%s has %d lines, more than %d: which idea can have a room of its own?", p.PkgPath, lines, maxLines)
		}
		if up := against(p); len(up) > maxAgainst {
			t.Errorf("files of %s use one another against any order %d times: %q", p.PkgPath, len(up), up)
		}
	}
}

// against orders the files of a package so that few use what stands in an
// earlier one, and lists those that still do.
func against(p *packages.Package) []string {
	uses := map[[2]string]bool{}
	var files []string
	for id, o := range p.TypesInfo.Uses {
		if o.Pkg() != p.Types || o.Parent() != p.Types.Scope() && !belongs(o) {
			continue
		}
		from, to := filepath.Base(p.Fset.Position(id.Pos()).Filename), filepath.Base(p.Fset.Position(o.Pos()).Filename)
		if from != to {
			uses[[2]string{from, to}] = true
		}
		for _, f := range []string{from, to} {
			if !slices.Contains(files, f) {
				files = append(files, f)
			}
		}
	}
	slices.Sort(files)
	back := func(order []string) (up []string) {
		for i := range order {
			for _, earlier := range order[:i] {
				if uses[[2]string{order[i], earlier}] {
					up = append(up, fmt.Sprintf("%s uses %s", order[i], earlier))
				}
			}
		}
		return up
	}
	for better := true; better; { // move one file at a time while that helps
		better = false
		for i := range files {
			for j := range files {
				moved := slices.Insert(slices.Delete(slices.Clone(files), i, i+1), j, files[i])
				if len(back(moved)) < len(back(files)) {
					files, better = moved, true
				}
			}
		}
	}
	return back(files)
}

// belongs reports whether an object is a method or a field.
func belongs(o types.Object) bool {
	switch o := o.(type) {
	case *types.Func:
		return o.Signature().Recv() != nil
	case *types.Var:
		return o.IsField()
	}
	return false
}
