package database

import (
	"bytes"
	"fmt"
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
	computed := map[string][]string{} // columns that are in no file, by table
	for _, x := range tables {
		rows := &sheet.Rows{Name: x.name}
		computed[x.name] = x.computed
		if err := rows.Add(x.names()); err != nil {
			return nil, fail(src, err)
		}
		err := f.walk(x.root, 0, func(id int64, values []string) error {
			if total++; total > maxRows {
				return fmt.Errorf("it has more than %d rows: %w", maxRows, account.ErrLimit)
			}
			return rows.Add(x.row(id, values))
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
	inOrder(t)
	if c := computed[t.Layout.Sheet]; len(c) > 0 {
		t.Warnings.Add(account.OtherColumns, t.Name(), fmt.Sprintf("%q are computed by the data base when it is asked, and stand in no file: export the table as .csv to have them", c))
	}
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
		if x := statement(v[4]); len(x.columns) > 0 {
			x.name, x.root = v[1], root
			all = append(all, x)
		}
		return nil
	})
	return all, err
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
