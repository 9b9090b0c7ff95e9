package jsonlines

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strconv"

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
// also within an object.
var Document = format.Format{Name: layout.JSON, Lines: true, Recognise: recogniseDocument, Read: readDocument}

// Limits on a document, which is held in memory.
const (
	maxDocument = 64 << 20
	mostRows    = 5_000_000
)

func recogniseDocument(src *source.Source) bool {
	text, err := io.ReadAll(io.LimitReader(src.Reader(0), 4<<10))
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
		return len(rest) > 0 && rest[0] == '"' && !recognise(src) || holdsLists(text)
	}
	return false
}

// holdsLists reports whether an object on one line holds a list or an object
// of numbered values early on.
func holdsLists(text []byte) bool {
	head := text[:min(len(text), 512)]
	return bytes.Contains(head, []byte(`:[`)) || bytes.Contains(head, []byte(`: [`)) || bytes.Contains(head, []byte(`{"0":`))
}

// found is a table within a document.
type found struct {
	names []string
	rows  [][]string
}

func readDocument(src *source.Source, how format.Request) (*table.Table, error) {
	text, err := io.ReadAll(io.LimitReader(src.Reader(0), maxDocument+1))
	switch {
	case err != nil:
		return nil, src.Fail("can't be read: "+err.Error(), "copy it again from the device", err)
	case len(text) > maxDocument:
		return nil, src.Fail(fmt.Sprintf("is a JSON document of more than %d MB", maxDocument>>20), "export it as .csv, or with one object a line", account.ErrLimit)
	}
	d := json.NewDecoder(bytes.NewReader(text))
	d.UseNumber()
	value, err := ordered(d, 0)
	if err != nil {
		return nil, src.Fail("is a JSON document that can't be read: "+err.Error(), "export it again, or as .csv", account.ErrNotText)
	}
	if isMap(value) {
		return nil, src.Fail("is GeoJSON, a drawing on a map, whose points have no place for times", "export the track as GPX", account.ErrNoTime)
	}
	best := tables(value, "", 0)
	if best == nil || len(best.rows) == 0 {
		return nil, src.Fail("is a JSON document without a table: no list of objects, no lists of one length", "export the readings as .csv", account.ErrNoData)
	}
	w := delimited.Rewritten{Account: account.Account{Unit: "entries"}}
	w.Header(best.names)
	for i, r := range best.rows {
		w.Account.Lines++
		if err := w.Row(src, r, i+1); err != nil {
			return nil, err
		}
	}
	return w.Table(src, how, layout.JSON)
}

// isMap reports whether a document is GeoJSON by its type (RFC 7946, 1.4).
func isMap(value any) bool {
	all, ok := value.(members)
	return ok && slices.ContainsFunc(all, func(e entry) bool {
		return e.name == "type" && slices.Contains([]any{"Feature", "FeatureCollection", "LineString", "MultiLineString"}, e.value)
	})
}

// members are those of an object, in the order of the file.
type members []entry

type entry struct {
	name  string
	value any
}

// ordered reads a value: members, []any, json.Number, string, bool or nil.
func ordered(d *json.Decoder, depth int) (any, error) {
	t, err := d.Token()
	if err != nil {
		return nil, err
	}
	mark, ok := t.(json.Delim)
	if !ok {
		return t, nil
	}
	if depth > 16 {
		return nil, fmt.Errorf("it nests more than 16 deep: %w", account.ErrLimit)
	}
	if mark == '[' {
		var list []any
		for d.More() {
			v, err := ordered(d, depth+1)
			if err != nil {
				return nil, err
			}
			list = append(list, v)
		}
		_, err := d.Token()
		return list, err
	}
	var all members
	for d.More() {
		key, err := d.Token()
		if err != nil {
			return nil, err
		}
		v, err := ordered(d, depth+1)
		if err != nil {
			return nil, err
		}
		all = append(all, entry{fmt.Sprint(key), v})
	}
	_, err = d.Token()
	return all, err
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
// the columns.
func rowsOf(list []any) *found {
	f := &found{}
	for _, v := range list {
		switch v := v.(type) {
		case members:
			row := make([]string, len(f.names))
			f.members(v, "", 0, &row)
			f.rows = append(f.rows, row)
		case []any:
			row := make([]string, len(v))
			for i, c := range v {
				row[i] = text(c)
			}
			if len(f.names) == 0 {
				f.names = row
			} else {
				f.rows = append(f.rows, row)
			}
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

// members puts the members of an object into a row; those of an object within
// are named "outer.inner".
func (f *found) members(all members, prefix string, depth int, row *[]string) {
	for _, m := range all {
		if within, ok := m.value.(members); ok && depth < deepest {
			f.members(within, prefix+m.name+".", depth+1, row)
			continue
		}
		name := cell.Plain(prefix + m.name)
		i := slices.Index(f.names, name)
		if i < 0 {
			if len(f.names) >= mostColumns {
				continue
			}
			i = len(f.names)
			f.names = append(f.names, name)
		}
		for len(*row) <= i {
			*row = append(*row, "")
		}
		(*row)[i] = text(m.value)
	}
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
				if _, nested := c.(members); nested {
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
		f.rows = append(f.rows, row)
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
