package notebook

import (
	"slices"
	"strings"
)

// Only returns the table with just the named columns, in that order; one of structs
// also knows the names of fields. A name that is not there is left out and said in
// the note, so that a typing mistake shows.
func (g Grid) Only(columns ...string) Grid {
	out := Grid{Total: g.Total, Note: g.Note, Rows: make([][]any, len(g.Rows))}
	for _, name := range columns {
		at := max(slices.Index(g.Header, name), slices.Index(g.fields, name))
		if at < 0 {
			out.Note = strings.TrimPrefix(out.Note+"; there is no column \""+name+"\"", "; ")
			continue
		}
		out.Header = append(out.Header, g.Header[at])
		for i, row := range g.Rows {
			var cell any = ""
			if at < len(row) {
				cell = row[at]
			}
			out.Rows[i] = append(out.Rows[i], cell)
		}
	}
	return out
}
