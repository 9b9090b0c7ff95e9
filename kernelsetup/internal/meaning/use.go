package meaning

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// A cell that says only
//
//	use bonnetbook
//
// stands for one import declaration: package notebook without a prefix, the
// other packages of the library by their names, and what notebooks often need
// of Go's own. So nobody begins with a block of paths. It is Go written short:
// what runs a cell, writes a program of it or completes a line meets imports.

const (
	library = "github.com/bonnetbook/bonnetbook/pkg/"
	// Dotted is the package whose names need no prefix.
	Dotted = library + "notebook"
)

// opened are the packages that are imported by their names.
var opened = strings.Fields(`
	air ask campaign changepoint chart clock compare contrast drive duct engine estimate exercise export frame fuel heat
	plan quantity recording regression roadload scene segment sensor series simulate thermostat uncertainty verdict warm weather`)

// openedOfGo are those of Go's own. math/rand/v2 is called rand.
var openedOfGo = strings.Fields(`fmt math math/rand/v2 os path/filepath slices strconv strings time`)

var useLine = regexp.MustCompile(`^use[ \t]+bonnetbook[ \t]*;?$`)

// used returns the declaration that a cell "use bonnetbook" stands for.
func used(text string) (declaration string, ok bool) {
	_, rest := head(text)
	if !useLine.MatchString(strings.TrimSpace(rest)) {
		return "", false
	}
	var b strings.Builder
	fmt.Fprintf(&b, "import (. %q", Dotted)
	for _, name := range opened {
		fmt.Fprintf(&b, "; %q", library+name)
	}
	for _, path := range openedOfGo {
		fmt.Fprintf(&b, "; %q", path)
	}
	b.WriteString(")")
	return b.String(), true
}

// Opens reports whether "use bonnetbook" imports a package by its name.
func Opens(path string) bool {
	name, ok := strings.CutPrefix(path, library)
	return ok && slices.Contains(opened, name) || slices.Contains(openedOfGo, path)
}
