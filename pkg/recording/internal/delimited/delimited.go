// Package delimited reads tables of text, delimited or aligned by spaces: in
// chunks, on several goroutines, and puts the rows back in order. Rows that lost
// cells are repaired where the row before says how.
package delimited

import (
	"errors"
	"runtime"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/detect"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/format"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Format is text, which takes what no other format does.
var Format = format.Format{Name: layout.Text, Lines: true, Recognise: func(*source.Source) bool { return true }, Read: Read}

// Read reads all rows of a text file into a table.
func Read(src *source.Source, how format.Request) (*table.Table, error) {
	f, err := detect.Text(src, how.Layout)
	var long *detect.Long
	if errors.As(err, &long) {
		return readLong(src, how, long)
	}
	if err != nil {
		return nil, err
	}
	p, t := f.Plan, newTable(src, f)
	workers := how.Workers
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	if err := stream(src, p, t, min(workers, 16)); err != nil {
		return nil, err
	}
	return t, nil
}

// newTable makes room for as many rows as the file probably has. Memory that
// is never touched costs nothing, and a slice that need not grow is not copied.
func newTable(src *source.Source, f *detect.Result) *table.Table {
	p, rows := f.Plan, f.Rows+f.Rows/100+64
	t := &table.Table{File: src.Path, Format: layout.Text, Base: p.Clock.Base, Times: p.Clock.Format,
		Zone: p.Clock.UTC, Account: &account.Account{Unit: "lines"}, Findings: f.Detection, Layout: f.Layout, Warnings: f.Warnings}
	if f.Start != 0 {
		t.Base, t.Times = f.Start, layout.Stamp
	}
	t.Time = make([]float64, 0, rows)
	for _, c := range p.Columns {
		t.Columns = append(t.Columns, table.Column{Head: c.Head, Values: make([]float64, 0, rows)})
	}
	return t
}
