package spreadsheet

import (
	"archive/zip"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/xuri/excelize/v2"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/sheet"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
)

// Limits on a workbook. The largest sheet of four channels, a million rows,
// unpacks to some 200 MB.
const (
	maxUnpacked = 512 << 20
	maxEntries  = 10000
	// What unpacks to more than smallBook must not be more than maxRatio times
	// the file: tables of readings reach thirty, and only a trick a thousand.
	smallBook = 8 << 20
	maxRatio  = 100
	maxSheets = 255
	// maxCells bounds the cells of a pass through the sheets, empty ones and
	// rows without any included.
	maxCells = 64_000_000
)

// openZip opens the archive. It refuses one that unpacks to too much, or is no
// workbook.
func openZip(src *source.Source) (*zip.Reader, error) {
	z, err := zip.NewReader(src.R, src.Size)
	if err != nil {
		return nil, src.Fail("begins like a spreadsheet or archive but is damaged or cut: "+err.Error(), "copy it again, or save it again as .xlsx or .csv", err)
	}
	if len(z.File) > maxEntries {
		return nil, src.Fail(fmt.Sprintf("holds %d files", len(z.File)), fmt.Sprintf("a workbook may hold %d; save the readings as .csv", maxEntries), account.ErrLimit)
	}
	var sum uint64
	book, tags := false, 0
	for _, f := range z.File {
		sum += f.UncompressedSize64
		if f.UncompressedSize64 > maxUnpacked || sum > maxUnpacked {
			return nil, src.Fail(fmt.Sprintf("unpacks to more than %d MB", maxUnpacked>>20), "save the readings as .csv, which is read in any size", account.ErrLimit)
		}
	}
	if sum > smallBook && sum/maxRatio > uint64(src.Size) {
		return nil, src.Fail(fmt.Sprintf("unpacks to %d times its size, as no table of readings does", sum/uint64(src.Size)), "save the readings as .csv", account.ErrLimit)
	}
	for _, f := range z.File {
		book = book || strings.HasPrefix(f.Name, "xl/")
		if err := checkPart(src, f, &tags); err != nil {
			return nil, err
		}
		if f.Name == "content.xml" {
			return nil, src.Fail("is an OpenDocument spreadsheet", "save it as .xlsx or .csv", account.ErrNotText)
		}
	}
	if !book {
		return nil, src.Fail("is a zip archive, not a spreadsheet", "unpack it first", account.ErrNotText)
	}
	return z, nil
}

// openBook opens the workbook in an archive. A damaged one must not bring the
// program down, whatever the library meets in it.
func openBook(src *source.Source, z *zip.Reader) (book *workbook, err error) {
	defer func() {
		if p := recover(); p != nil {
			book, err = nil, src.Fail(fmt.Sprintf("is a damaged spreadsheet: %v", p), "save it again as .xlsx or .csv", account.ErrNotText)
		}
	}()
	opened, err := excelize.OpenReader(io.NewSectionReader(src.R, 0, src.Size),
		excelize.Options{UnzipSizeLimit: maxUnpacked, UnzipXMLSizeLimit: maxUnpacked, RawCellValue: true})
	if err != nil {
		return nil, src.Fail("can't be read as a spreadsheet: "+err.Error(), "save it again as .xlsx or .csv, without a password", err)
	}
	book = &workbook{File: opened}
	book.findParts(z)
	return book, nil
}

// chooseSheet returns the sheet that is asked for, or the one with most rows
// of two cells or more; hidden ones are left out.
func chooseSheet(src *source.Source, book *workbook, want string) (name string, others []string, err error) {
	names := book.GetSheetList()
	if len(names) > maxSheets {
		return "", nil, src.Fail(fmt.Sprintf("has %d sheets", len(names)), "save the one with the readings as .csv", account.ErrLimit)
	}
	left := maxCells
	var all []*sheet.Rows
	for _, name := range names {
		rows := &sheet.Rows{Name: name}
		all = append(all, rows)
		if want != "" {
			continue
		}
		if visible, err := book.GetSheetVisible(name); err == nil && !visible && len(names) > 1 {
			continue
		}
		err := eachRow(book, name, true, &left, func(cells []string) error {
			rows.Count(cells)
			return nil
		})
		if err != nil {
			return "", nil, src.Fail(fmt.Sprintf("sheet %q can't be read: %v", name, err), "save it again as .xlsx or .csv", err)
		}
	}
	chosen, others, err := sheet.Choose(src, all, want)
	if err != nil {
		return "", nil, err
	}
	return chosen.Name, others, nil
}

// errEnough ends a pass through a sheet.
var errEnough = errors.New("enough rows")

// eachRow calls f with the cells of each row, blank rows included, until it
// returns an error. It takes what it goes through from left.
func eachRow(book *workbook, sheet string, raw bool, left *int, f func([]string) error) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("damaged sheet: %v", p)
		}
	}()
	take := func(cells []string) error {
		*left -= 1 + len(cells)
		for _, c := range cells {
			*left -= len(c) / 16 // the library copies each, also one that many cells share
		}
		if *left < 0 {
			return fmt.Errorf("it has more than %d million cells, empty ones included, or very long texts: %w", maxCells/1_000_000, account.ErrLimit)
		}
		return f(cells[:min(len(cells), cell.MaxColumns)])
	}
	if part := book.sheets[sheet]; raw && part != nil {
		r, err := part.Open()
		if err != nil {
			return err
		}
		defer r.Close()
		err = rowsOf(r, book.shared, take)
		if errors.Is(err, errEnough) {
			return nil
		}
		return err
	}
	rows, err := book.Rows(sheet)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		cells, err := rows.Columns(excelize.Options{RawCellValue: raw})
		if err != nil {
			return err
		}
		switch err := take(cells); {
		case errors.Is(err, errEnough):
			return nil
		case err != nil:
			return err
		}
	}
	return rows.Error()
}
