// Package opendocument reads a sheet of an OpenDocument spreadsheet (ISO/IEC
// 26300).
package opendocument

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/format"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/sheet"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Format is the OpenDocument spreadsheet.
var Format = format.Format{Name: layout.OpenDocument, Recognise: recognise, Read: read}

// mediaType is what the file "mimetype" in it holds.
const mediaType = "application/vnd.oasis.opendocument.spreadsheet"

// recognise finds the media type where the standard wants it, first and not
// packed (ISO/IEC 26300-3, 3.3), or wherever a writer has put it.
func recognise(src *source.Source) bool {
	if !bytes.HasPrefix(src.Head, []byte("PK\x03\x04")) {
		return false
	}
	if bytes.Contains(src.Head[:min(len(src.Head), 4096)], []byte("mimetype"+mediaType)) {
		return true
	}
	z, err := zip.NewReader(src.R, src.Size)
	if err != nil {
		return false
	}
	f, err := z.Open("mimetype")
	if err != nil {
		return false
	}
	defer f.Close()
	held, err := io.ReadAll(io.LimitReader(f, int64(len(mediaType))+1))
	return err == nil && string(held) == mediaType
}

// Limits on a file: what it unpacks to, how deep it nests, how often a row may
// repeat, and how many sheets.
const (
	maxUnpacked = 512 << 20
	maxRatio    = 200
	maxDepth    = 64
	maxRepeated = 10_000
	maxSheets   = 255
)

func read(src *source.Source, how format.Request) (*table.Table, error) {
	z, err := zip.NewReader(src.R, src.Size)
	if err != nil {
		return nil, src.Fail("begins like a spreadsheet but is damaged or cut: "+err.Error(), "copy it again, or save it again as .csv", err)
	}
	f, err := z.Open("content.xml")
	if err != nil {
		return nil, src.Fail("is an OpenDocument spreadsheet without content", "save it again", account.ErrNoData)
	}
	defer f.Close()
	most := min(int64(maxUnpacked), (8<<20)+maxRatio*src.Size)
	r := &reader{in: &io.LimitedReader{R: f, N: most}}
	if err := r.read(); err != nil {
		return nil, src.Fail("can't be read as a spreadsheet: "+err.Error(), "save it again as .ods, .xlsx or .csv", err)
	}
	src.DayZero = r.dayZero
	return sheet.Read(src, r.sheets, how, layout.OpenDocument, sheet.OnlySheet)
}

// reader collects the sheets of content.xml.
type reader struct {
	in     *io.LimitedReader
	sheets []*sheet.Rows
	depth  int
	// dayZero is the day from which bare day numbers count, in days behind
	// 1899-12-30.
	dayZero int64

	row               []string
	rowTimes          int // how often the row repeats
	value             string
	cellTimes         int
	text              strings.Builder
	inCell, annotated bool
}

func (r *reader) read() error {
	d := xml.NewDecoder(r.in)
	for {
		token, err := d.RawToken()
		switch {
		case err == io.EOF && r.in.N <= 0:
			return fmt.Errorf("it unpacks to too much: %w", account.ErrLimit)
		case err == io.EOF:
			return nil
		case err != nil:
			return err
		}
		switch x := token.(type) {
		case xml.Directive:
			return fmt.Errorf("it declares a document type: %w", account.ErrNotText)
		case xml.StartElement:
			if r.depth++; r.depth > maxDepth {
				return fmt.Errorf("it nests elements more than %d deep: %w", maxDepth, account.ErrLimit)
			}
			if err := r.start(x); err != nil {
				return err
			}
		case xml.CharData:
			if r.inCell && !r.annotated && r.text.Len() < 4096 {
				r.text.Write(x)
			}
		case xml.EndElement:
			r.depth--
			if err := r.end(x.Name); err != nil {
				return err
			}
		}
	}
}

func attribute(x xml.StartElement, space, local string) string {
	for _, a := range x.Attr {
		if a.Name.Space == space && a.Name.Local == local {
			return a.Value
		}
	}
	return ""
}

func times(x xml.StartElement, local string) int {
	n, err := strconv.Atoi(attribute(x, "table", local))
	if err != nil || n < 1 {
		return 1
	}
	return n
}

func (r *reader) start(x xml.StartElement) error {
	switch x.Name.Space + ":" + x.Name.Local {
	case "table:table":
		if len(r.sheets) == maxSheets {
			return fmt.Errorf("it has more than %d sheets: %w", maxSheets, account.ErrLimit)
		}
		r.sheets = append(r.sheets, &sheet.Rows{Name: attribute(x, "table", "name")})
	case "table:null-date": // the day that is 0; 1899-12-30 where none is named (OpenDocument 1.2)
		if day, err := time.Parse(time.DateOnly, attribute(x, "table", "date-value")); err == nil {
			r.dayZero = (day.Unix() - time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC).Unix()) / 86400
		}
	case "table:table-row":
		r.row, r.rowTimes = nil, times(x, "number-rows-repeated")
	case "table:table-cell", "table:covered-table-cell":
		r.inCell, r.cellTimes = true, times(x, "number-columns-repeated")
		r.text.Reset()
		r.value = valueOf(x)
	case "office:annotation":
		r.annotated = true
	case "text:s", "text:tab", "text:line-break":
		if r.inCell {
			r.text.WriteByte(' ')
		}
	}
	return nil
}

// valueOf returns what a cell stores beside what it shows; empty for texts.
func valueOf(x xml.StartElement) string {
	v := attribute(x, "office", "value")
	switch attribute(x, "office", "value-type") {
	case "float", "currency":
		return v
	case "percentage":
		if f, err := strconv.ParseFloat(v, 64); err == nil {
			return strconv.FormatFloat(f*100, 'g', 15, 64) + "%"
		}
	case "date":
		return strings.Replace(attribute(x, "office", "date-value"), "T", " ", 1)
	case "time":
		return clock(attribute(x, "office", "time-value"))
	}
	return ""
}

// clock turns a duration of XML Schema, PT17H42M06.5S, into 17:42:06.5.
func clock(s string) string {
	rest, ok := strings.CutPrefix(s, "PT")
	if !ok {
		return s
	}
	var parts [3]string
	for i, letter := range []string{"H", "M", "S"} {
		before, after, found := strings.Cut(rest, letter)
		if !found {
			before, after = "0", rest
		}
		parts[i], rest = strings.Replace(before, ",", ".", 1), after
		if whole, _, _ := strings.Cut(parts[i], "."); len(whole) < 2 {
			parts[i] = "0" + parts[i]
		}
	}
	return strings.Join(parts[:], ":")
}

func (r *reader) end(name xml.Name) error {
	switch name.Space + ":" + name.Local {
	case "office:annotation":
		r.annotated = false
	case "table:table-cell", "table:covered-table-cell":
		v := r.value
		if v == "" {
			v = strings.TrimSpace(r.text.String())
		}
		r.inCell = false
		if v == "" && r.cellTimes > cell.MaxColumns { // to the end of the sheet
			return nil
		}
		for range min(r.cellTimes, cell.MaxColumns-len(r.row)) {
			r.row = append(r.row, v)
		}
	case "table:table-row":
		if len(r.sheets) == 0 {
			return nil
		}
		if r.rowTimes > maxRepeated {
			if slices.ContainsFunc(r.row, func(c string) bool { return c != "" }) {
				return fmt.Errorf("it has more than %d equal rows behind each other: %w", maxRepeated, account.ErrLimit)
			}
			return nil // to the end of the sheet
		}
		for range r.rowTimes {
			if err := r.sheets[len(r.sheets)-1].Add(r.row); err != nil {
				return err
			}
		}
	}
	return nil
}
