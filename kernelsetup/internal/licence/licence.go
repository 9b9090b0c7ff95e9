// Package licence carries the licence texts of everything that is compiled
// into the program: the modules, their fonts, Go's own library, the program.
package licence

import (
	_ "embed"
	"fmt"
	"runtime/debug"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols/packed"
)

//go:generate go run ./generate

// File is the name of the generated archive in this package's folder. An
// entry's key is the module's path, its attributes are version and kinds, its
// data are the texts.
const File = "texts.bin"

//go:embed texts.bin
var texts string

var archive = packed.Open(texts)

// Paths of the entries that are no module of others.
const (
	Program = "github.com/bonnetbook/bonnetbook"
	Go      = "std"
)

// A Component is one module of the program.
type Component struct {
	// Path is the module's path, Program or Go.
	Path string
	// Version is the module's version; for Program and Go, "".
	Version string
	// Kinds are the SPDX identifiers of all licences that hold for parts of the
	// module, as "A AND B". It is "" where no notice is embedded.
	Kinds string
}

// Components lists what the program was built from: the program, Go's library,
// then all others by path.
func Components() []Component {
	var all []Component
	for _, path := range archive.Keys() {
		a := archive.Attributes(path)
		all = append(all, Component{path, a[0], a[1]})
	}
	rank := func(c Component) int { return slices.Index([]string{Go, Program}, c.Path) }
	slices.SortStableFunc(all, func(a, b Component) int { return rank(b) - rank(a) })
	return all
}

// Missing lists the modules of build for which no notice is embedded, at the
// version that was built: a program that was built with other modules says so.
func Missing(build *debug.BuildInfo) []Component {
	var missing []Component
	for _, m := range build.Deps {
		if m.Replace != nil {
			m = m.Replace
		}
		if a := archive.Attributes(m.Path); len(a) == 0 || a[0] != m.Version {
			missing = append(missing, Component{Path: m.Path, Version: m.Version})
		}
	}
	return missing
}

// Text returns the licence texts of a component, "" for one without. It
// returns an error where the embedded archive is damaged.
func Text(path string) (string, error) {
	data, err := archive.Data(path)
	if err != nil {
		return "", fmt.Errorf("licence texts: %w", err)
	}
	return strings.TrimSpace(string(data)) + "\n", nil
}
