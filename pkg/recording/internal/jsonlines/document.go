package jsonlines

import (
	"bytes"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/delimited"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/format"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Document is one JSON value over the whole file: a list of objects or of
// lists, or an object of lists or of numbered values, one for each column;
// also within an object, or several values behind each other.
var Document = format.Format{Name: layout.JSON, Lines: true, Recognise: recogniseDocument, Read: readDocument}

// Limits on a document, which is held in memory.
const (
	maxDocument = 64 << 20
	mostRows    = 5_000_000
)

func recogniseDocument(src *source.Source) bool {
	text, err := src.First(4 << 10)
	if err != nil {
		return false
	}
	text = bytes.TrimSpace(text)
	if len(text) == 0 {
		return false
	}
	rest := bytes.TrimSpace(text[1:])
	switch text[0] {
	case '[':
		return len(rest) > 0 && (rest[0] == '{' || rest[0] == '[' && len(rest) > 1 && (rest[1] == '"' || rest[1] == '\n' || rest[1] == ' '))
	case '{':
		return len(rest) > 0 && rest[0] == '"' && !recognise(src)
	}
	return false
}

func readDocument(src *source.Source, how format.Request) (*table.Table, error) {
	text, err := src.First(maxDocument + 1)
	switch {
	case err != nil:
		return nil, src.Fail("can't be read: "+err.Error(), "copy it again from the device", err)
	case len(text) > maxDocument:
		return nil, src.Fail(fmt.Sprintf("is a JSON document of more than %d MB", maxDocument>>20), "export it as .csv, or with one object a line", account.ErrLimit)
	}
	all, err := whole(text)
	if err != nil {
		return nil, src.Fail("is a JSON document that can't be read: "+err.Error(), "export it again, or as .csv", account.ErrNotText)
	}
	var best *found
	if features := featuresOf(all); features != nil {
		if best, err = points(features); err != nil {
			return nil, src.Fail("is GeoJSON "+err.Error(), "export the track as GPX", account.ErrNoTime)
		}
	} else if best = tables(all, "", 0); best == nil || len(best.rows) == 0 {
		why := "no list of objects, no lists of one length"
		if best != nil && len(best.rejects) > 0 {
			why = fmt.Sprintf("entry %d %s", best.rejects[0].Line, best.rejects[0].Reason)
		}
		return nil, src.Fail("is a JSON document without a table: "+why, "export the readings as .csv", account.ErrNoData)
	}
	w := delimited.Rewritten{Account: account.Account{Unit: "entries", Lines: len(best.rejects), Rejects: best.rejects}}
	w.Header(best.names)
	for i, r := range best.rows {
		w.Account.Lines++
		if err := w.Row(src, r, best.entry[i]); err != nil {
			return nil, err
		}
	}
	t, err := w.Table(src, how, layout.JSON)
	if err != nil {
		return nil, err
	}
	best.tell(t, len(best.rejects), len(best.rejects)+best.entries())
	for i, x := range t.Account.Rejects { // by the entry: the text of a document has lines of its own
		if k, ok := slices.BinarySearch(best.entry, x.Line); ok {
			t.Account.Rejects[i].Text = cell.Excerpt([]byte(strings.Join(best.rows[k], " ")))
		}
	}
	return t, nil
}

// tables returns the largest table within a value, nil for none.
func tables(v any, name string, depth int) *found {
	if depth > 4 {
		return nil
	}
	switch v := v.(type) {
	case []any:
		if f := rowsOf(v); f != nil {
			return f
		}
	case members:
		if f := namedLists(v); f != nil {
			return f
		}
		best := columnsOf(v)
		for _, m := range v {
			if f := tables(m.value, m.name, depth+1); f != nil && (best == nil || len(f.rows) > len(best.rows)) {
				best = f
			}
		}
		return best
	}
	return nil
}

// rowsOf reads a list of objects, or a list of lists of which the first names
// the columns where it holds nothing but texts.
func rowsOf(list []any) *found {
	f := &found{}
	for n, v := range list {
		switch v := v.(type) {
		case members:
			rows, err := f.rowsOf(v)
			if err != nil {
				f.rejects = append(f.rejects, account.Reject{Line: n + 1, Reason: err.Error(), Text: cell.Excerpt(fmt.Appendf(nil, "%v", v))})
			}
			for _, row := range rows {
				f.add(row, n+1)
			}
		case []any:
			row, named := make([]string, len(v)), n == 0
			for i, c := range v {
				row[i] = text(c)
				_, words := c.(string)
				named = named && words
			}
			switch {
			case named:
				f.names = row
				continue
			case n == 0:
				f.names = make([]string, len(row))
			}
			f.rows, f.entry = append(f.rows, row), append(f.entry, n+1)
		default:
			return nil
		}
		if len(f.rows) > mostRows || len(f.names) > mostColumns {
			return nil
		}
	}
	f.fill()
	return f
}

// namedLists reads an object that holds a list of lists, the rows, and a list of
// as many names of the columns, or of objects that have them; nil for another.
func namedLists(all members) *found {
	var rows []any
	for _, m := range all {
		if list, ok := m.value.([]any); ok && len(list) > 0 {
			if _, ok := list[0].([]any); ok {
				rows = list
			}
		}
	}
	if rows == nil {
		return nil
	}
	for _, m := range all {
		list, ok := m.value.([]any)
		if !ok || len(list) != len(rows[0].([]any)) {
			continue
		}
		names := make([]any, len(list))
		for i, x := range list {
			names[i] = nameOf(x)
		}
		if !slices.Contains(names, any("")) {
			return rowsOf(append([]any{names}, rows...))
		}
	}
	return nil
}

// nameOf returns the name that a value is or has, "" for none.
func nameOf(v any) any {
	if o, ok := v.(members); ok {
		for _, k := range []string{"name", "text", "label", "title", "id"} {
			if s, ok := o.of(k).(string); ok {
				return s
			}
		}
	}
	if s, ok := v.(string); ok {
		return s
	}
	return ""
}

// columnsOf reads an object of lists of one length, or of objects of numbered
// values, each a column.
func columnsOf(all members) *found {
	f := &found{}
	var columns [][]string
	longest := 0
	for _, m := range all {
		var column []string
		switch v := m.value.(type) {
		case []any:
			for _, c := range v {
				if !isScalar(c) {
					return nil
				}
				column = append(column, text(c))
			}
		case members:
			for i, c := range v {
				if c.name != strconv.Itoa(i) {
					column = nil
					break
				}
				column = append(column, text(c.value))
			}
		}
		if len(column) > 1 {
			f.names, columns = append(f.names, cell.Plain(m.name)), append(columns, column)
			longest = max(longest, len(column))
		}
	}
	if len(columns) < 2 || len(columns) > mostColumns || slices.ContainsFunc(columns, func(c []string) bool { return len(c) != longest }) {
		return nil
	}
	for i := range longest {
		row := make([]string, len(columns))
		for k, c := range columns {
			row[k] = c[i]
		}
		f.rows, f.entry = append(f.rows, row), append(f.entry, i+1)
	}
	f.fill()
	return f
}

// fill gives all rows as many cells, and a mark to those without a value.
func (f *found) fill() {
	for i := range f.rows {
		for len(f.rows[i]) < len(f.names) {
			f.rows[i] = append(f.rows[i], "")
		}
		f.rows[i] = f.rows[i][:len(f.names)]
		for k, c := range f.rows[i] {
			if c == "" {
				f.rows[i][k] = "-"
			}
		}
	}
}

// text writes a value as a cell; lists and objects have none.
func text(v any) string {
	switch v := v.(type) {
	case nil, []any, members:
		return ""
	default:
		return cell.Plain(fmt.Sprint(v))
	}
}
