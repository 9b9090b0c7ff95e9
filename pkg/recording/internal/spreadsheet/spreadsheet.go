// Package spreadsheet reads a sheet of an Office Open XML workbook: its cells
// become lines of text, which are then read like any other.
package spreadsheet

import (
	"bytes"
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/format"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/grid"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/sheet"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Format is the Office Open XML workbook.
var Format = format.Format{Name: layout.Spreadsheet, Recognise: beginsLikeZip, Read: read}

func beginsLikeZip(src *source.Source) bool { return bytes.HasPrefix(src.Head, []byte("PK\x03\x04")) }

// read reads one worksheet: its cells become a table of text, which
// is then read like any other. Dates are stored as day numbers and shown by a
// format; they are told by the cells that show otherwise than they are stored.
func read(src *source.Source, how format.Request) (*table.Table, error) {
	z, err := openZip(src)
	if err != nil {
		return nil, err
	}
	book, err := openBook(src, z)
	if err != nil {
		return nil, err
	}
	defer book.Close()
	name, others, err := chooseSheet(src, book, how.Layout.Sheet)
	if err != nil {
		return nil, err
	}
	text, err := sheetText(src, book, name)
	if err != nil {
		return nil, err
	}
	t, err := sheet.Text(src, text, name, how, layout.Spreadsheet)
	if err != nil {
		return nil, err
	}
	t.Note("sheet", fmt.Sprintf("sheet %q", name), grid.GivenOr(how.Layout.Sheet != "", "it has the most rows"))
	if len(others) > 0 {
		t.Warnings.Add(estimate.LostReadings, t.Name(), fmt.Sprintf(sheet.OnlySheet, name, others))
	}
	return t, nil
}
