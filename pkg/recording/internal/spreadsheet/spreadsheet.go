// Package spreadsheet reads a sheet of an Office Open XML workbook: its cells
// become lines of text, which are then read like any other.
package spreadsheet

import (
	"bytes"
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/delimited"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/format"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/grid"
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
	if err := checkZip(src); err != nil {
		return nil, err
	}
	book, err := openBook(src)
	if err != nil {
		return nil, err
	}
	defer book.Close()
	sheet, others, err := chooseSheet(src, book, how.Layout.Sheet)
	if err != nil {
		return nil, err
	}
	text, err := sheetText(src, book, sheet)
	if err != nil {
		return nil, err
	}
	inner, err := source.New(src.Path, bytes.NewReader(text), int64(len(text)))
	if err != nil {
		return nil, src.Fail(fmt.Sprintf("has no cell with content in sheet %q", sheet), "name another sheet in the layout", account.ErrEmpty)
	}
	inner.Encoding = layout.UTF8
	given := how.Layout
	given.Delimiter = layout.Tab
	if given.Decimal == "" && !bytes.Contains(text, []byte(",")) {
		given.Decimal = layout.DecimalPoint
	}
	t, err := delimited.Read(inner, format.Request{Layout: given, Workers: how.Workers})
	if err != nil {
		return nil, err
	}
	if err := source.FillTexts(inner, t.Account); err != nil {
		return nil, err
	}
	t.Format = layout.Spreadsheet
	t.Account.Unit = "sheet rows"
	t.Layout.Sheet = sheet
	t.Layout.Encoding = ""
	t.Note("sheet", fmt.Sprintf("sheet %q", sheet), grid.GivenOr(how.Layout.Sheet != "", "it has the most rows"))
	if len(others) > 0 && how.Layout.Sheet == "" {
		t.Warnings.Add(estimate.LostReadings, t.Name(), fmt.Sprintf("only sheet %q was read; there are also %q", sheet, others))
	}
	return t, nil
}
