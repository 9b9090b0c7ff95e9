package nbformat

import (
	"fmt"
	"go/ast"
	"go/parser"
	"maps"
	"slices"
	"strconv"
	"strings"
)

// SetParameters adds, behind the cell tagged "parameters", a cell that assigns
// the given values to names of that cell. A value is a Go expression; text
// that is none becomes a string.
func (n *Notebook) SetParameters(values map[string]string) error {
	if len(values) == 0 {
		return nil
	}
	at := slices.IndexFunc(n.Cells, func(c *Cell) bool { return c.HasTag(TagParameters) })
	if at < 0 {
		return fmt.Errorf("no cell is tagged %q, so nothing can take the value of %s; tag the cell that sets it",
			TagParameters, strings.Join(slices.Sorted(maps.Keys(values)), ", "))
	}
	var b strings.Builder
	for _, name := range slices.Sorted(maps.Keys(values)) {
		if !sets(n.Cells[at].Source(), name) {
			return fmt.Errorf("the cell tagged %q sets no %q", TagParameters, name)
		}
		fmt.Fprintf(&b, "%s = %s\n", name, expression(values[name]))
	}
	c := NewCell(Code, strings.TrimRight(b.String(), "\n"))
	c.AddTag(TagInjected)
	n.Cells = slices.DeleteFunc(n.Cells, func(c *Cell) bool { return c.HasTag(TagInjected) })
	n.Cells = slices.Insert(n.Cells, at+1, c)
	return nil
}

// sets reports whether a cell declares a name at the start of a line, as far
// as that can be seen without checking it.
func sets(source, name string) bool {
	for line := range strings.Lines(source) {
		names, _, ok := strings.Cut(line, "=")
		if !ok {
			continue
		}
		names = strings.TrimSuffix(strings.TrimSpace(names), ":")
		names = strings.TrimPrefix(strings.TrimPrefix(names, "var "), "const ")
		for _, field := range strings.Split(names, ",") {
			if words := strings.Fields(field); len(words) > 0 && words[0] == name {
				return true
			}
		}
	}
	return false
}

func expression(value string) string {
	e, err := parser.ParseExpr(value)
	if err != nil {
		return strconv.Quote(value)
	}
	if id, ok := e.(*ast.Ident); ok && id.Name != "true" && id.Name != "false" && id.Name != "nil" {
		return strconv.Quote(value)
	}
	return value
}
