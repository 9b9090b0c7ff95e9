package database

import (
	"bytes"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf16"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/format"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/sheet"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Format is the SQLite data base.
var Format = format.Format{Name: layout.Database, Recognise: recognise, Read: read}

func recognise(src *source.Source) bool {
	return bytes.HasPrefix(src.Head, []byte("SQLite format 3\x00")) && len(src.Head) >= 100
}

// tableOf is one table of the schema.
type tableOf struct {
	name    string
	root    int
	columns []string
	// number is the column that is the row's own number, −1 for none; it is
	// stored as null.
	number int
}

func read(src *source.Source, how format.Request) (*table.Table, error) {
	f, err := open(src)
	if err != nil {
		return nil, fail(src, err)
	}
	tables, err := f.schema()
	if err != nil {
		return nil, fail(src, err)
	}
	var all []*sheet.Rows
	total := 0
	for _, x := range tables {
		rows := &sheet.Rows{Name: x.name}
		if err := rows.Add(x.columns); err != nil {
			return nil, fail(src, err)
		}
		err := f.walk(x.root, 0, func(id int64, values []string) error {
			if total++; total > maxRows {
				return fmt.Errorf("it has more than %d rows: %w", maxRows, account.ErrLimit)
			}
			for len(values) < len(x.columns) { // added to the table later
				values = append(values, "")
			}
			if x.number >= 0 && values[x.number] == "" {
				values[x.number] = strconv.FormatInt(id, 10)
			}
			return rows.Add(values[:len(x.columns)])
		})
		if err != nil {
			return nil, fail(src, fmt.Errorf("table %q: %w", x.name, err))
		}
		all = append(all, rows)
	}
	how.Layout.HeaderLines = new(int)
	*how.Layout.HeaderLines = 1
	t, err := sheet.Read(src, all, how, layout.Database, "only table %q was read; there are also %q (sheet names another)")
	if err != nil {
		return nil, err
	}
	t.Account.Unit = "table rows"
	if f.logged() {
		t.Warnings.Add(estimate.LostReadings, t.Name(), "its newest rows may stand in a file beside it that ends in -wal: copy it while the app is closed")
	}
	return t, nil
}

// schema lists the tables with rows of their own.
func (f *file) schema() ([]tableOf, error) {
	var all []tableOf
	err := f.walk(1, 0, func(_ int64, v []string) error {
		if len(v) < 5 || v[0] != "table" || strings.HasPrefix(v[1], "sqlite_") || v[1] == "android_metadata" {
			return nil
		}
		root, err := strconv.Atoi(v[3])
		if err != nil || root < 1 || len(all) == 255 {
			return nil // a view of another kind
		}
		columns, number, ok := columnsOf(v[4])
		if ok && len(columns) > 0 {
			all = append(all, tableOf{v[1], root, columns, number})
		}
		return nil
	})
	return all, err
}

// columnsOf reads the names of columns from the statement that made a table.
// ok is false for tables that are stored in another way.
func columnsOf(statement string) (columns []string, number int, ok bool) {
	number = -1
	from, to := strings.IndexByte(statement, '('), strings.LastIndexByte(statement, ')')
	if from < 0 || to < from || strings.Contains(strings.ToUpper(statement[to:]), "WITHOUT") {
		return nil, -1, false
	}
	for _, part := range parts(statement[from+1 : to]) {
		name, rest := firstName(part)
		if name == "" {
			continue
		}
		if quoted := strings.ContainsAny(part[:1], "\"`["); !quoted && slices.Contains([]string{"PRIMARY", "UNIQUE", "CHECK", "FOREIGN", "CONSTRAINT"}, strings.ToUpper(name)) {
			continue
		}
		if up := strings.ToUpper(rest); strings.HasPrefix(strings.TrimSpace(up), "INTEGER") && strings.Contains(up, "PRIMARY KEY") {
			number = len(columns)
		}
		columns = append(columns, name)
	}
	return columns, number, true
}

// parts cuts a list at commas outside of brackets and quotes, and takes out
// comments.
func parts(list string) []string {
	var all []string
	var part strings.Builder
	depth, quote := 0, byte(0)
	for i := 0; i < len(list); i++ {
		c := list[i]
		switch {
		case quote != 0:
			if c == quote {
				quote = 0
			}
		case c == '-' && strings.HasPrefix(list[i:], "--"):
			for i < len(list) && list[i] != '\n' {
				i++
			}
			continue
		case c == '"' || c == '`' || c == '\'':
			quote = c
		case c == '[':
			quote = ']'
		case c == '(':
			depth++
		case c == ')':
			depth--
		case c == ',' && depth == 0:
			all = append(all, strings.TrimSpace(part.String()))
			part.Reset()
			continue
		}
		part.WriteByte(c)
	}
	return append(all, strings.TrimSpace(part.String()))
}

// firstName cuts the name off a column's definition.
func firstName(part string) (name, rest string) {
	if part == "" {
		return "", ""
	}
	end := map[byte]string{'"': `"`, '`': "`", '[': "]", '\'': "'"}[part[0]]
	if end != "" {
		name, rest, _ = strings.Cut(part[1:], end)
		return name, rest
	}
	if i := strings.IndexAny(part, " \t\r\n("); i >= 0 {
		return part[:i], part[i:]
	}
	return part, ""
}

// decode reads a text in the encoding of the data base.
func (f *file) decode(b []byte) string {
	if !f.wide {
		return string(b)
	}
	u := make([]uint16, len(b)/2)
	for i := range u {
		u[i] = f.order.Uint16(b[2*i:])
	}
	return string(utf16.Decode(u))
}
