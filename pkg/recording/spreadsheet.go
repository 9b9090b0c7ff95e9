package recording

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"
)

// Limits on a workbook. The largest sheet of four channels, a million rows,
// unpacks to some 200 MB.
const (
	maxUnpacked = 512 << 20
	maxEntries  = 10000
)

var spreadsheetFormat = format{name: Spreadsheet, recognise: beginsLikeZip, read: readSpreadsheet}

func beginsLikeZip(src *source) bool { return bytes.HasPrefix(src.head, []byte("PK\x03\x04")) }

// readSpreadsheet reads one worksheet: its cells become a table of text, which
// is then read like any other. Dates are stored as day numbers and shown by a
// format; they are told by the cells that show otherwise than they are stored.
func readSpreadsheet(src *source, how request) (*table, error) {
	if err := checkZip(src); err != nil {
		return nil, err
	}
	book, err := openBook(src)
	if err != nil {
		return nil, err
	}
	defer book.Close()
	sheet, others, err := chooseSheet(src, book, how.layout.Sheet)
	if err != nil {
		return nil, err
	}
	text, err := sheetText(src, book, sheet)
	if err != nil {
		return nil, err
	}
	inner, err := newSource(src.path, bytes.NewReader(text), int64(len(text)))
	if err != nil {
		return nil, src.fail(fmt.Sprintf("has no cell with content in sheet %q", sheet), "name another sheet in the layout", ErrEmpty)
	}
	inner.encoding = UTF8
	layout := how.layout
	layout.Delimiter = Tab
	if layout.Decimal == "" && !bytes.Contains(text, []byte(",")) {
		layout.Decimal = DecimalPoint
	}
	t, err := readText(inner, request{layout, how.workers})
	if err != nil {
		return nil, err
	}
	if err := fillTexts(inner, t.account); err != nil {
		return nil, err
	}
	t.format = Spreadsheet
	t.account.Unit = "sheet rows"
	t.layout.Sheet = sheet
	t.layout.Encoding = ""
	t.note("sheet", fmt.Sprintf("sheet %q", sheet), givenOr(how.layout.Sheet != "", "it has the most rows"))
	if len(others) > 0 && how.layout.Sheet == "" {
		t.warnings.add(lostReadings, t.file, fmt.Sprintf("only sheet %q was read; there are also %q", sheet, others))
	}
	return t, nil
}

// checkZip refuses archives that unpack to too much, or are no workbook.
func checkZip(src *source) error {
	z, err := zip.NewReader(src.r, src.size)
	if err != nil {
		return src.fail("begins like a spreadsheet or archive but is damaged or cut: "+err.Error(), "copy it again, or save it again as .xlsx or .csv", err)
	}
	if len(z.File) > maxEntries {
		return src.fail(fmt.Sprintf("holds %d files", len(z.File)), fmt.Sprintf("a workbook may hold %d; save the readings as .csv", maxEntries), ErrLimit)
	}
	var sum uint64
	book := false
	for _, f := range z.File {
		sum += f.UncompressedSize64
		if f.UncompressedSize64 > maxUnpacked || sum > maxUnpacked {
			return src.fail(fmt.Sprintf("unpacks to more than %d MB", maxUnpacked>>20), "save the readings as .csv, which is read in any size", ErrLimit)
		}
		book = book || strings.HasPrefix(f.Name, "xl/")
		if err := checkPart(src, f); err != nil {
			return err
		}
		if f.Name == "content.xml" {
			return src.fail("is an OpenDocument spreadsheet", "save it as .xlsx or .csv", ErrNotText)
		}
	}
	if !book {
		return src.fail("is a zip archive, not a spreadsheet", "unpack it first", ErrNotText)
	}
	return nil
}

// checkPart refuses a part that declares a document type, which workbooks do
// not have: entities could expand without bound or name other files.
func checkPart(src *source, f *zip.File) error {
	if !strings.HasSuffix(f.Name, ".xml") && !strings.HasSuffix(f.Name, ".rels") {
		return nil
	}
	r, err := f.Open()
	if err != nil {
		return nil // openBook tells what is wrong
	}
	defer r.Close()
	text, _ := io.ReadAll(io.LimitReader(r, 64<<10))
	if text = bytes.ToUpper(text); bytes.Contains(text, []byte("<!DOCTYPE")) || bytes.Contains(text, []byte("<!ENTITY")) {
		return src.fail(fmt.Sprintf("declares a document type (DOCTYPE) in its part %s, which a workbook does not have", f.Name), "save it again as .xlsx or .csv; files with entities are refused", ErrNotText)
	}
	return nil
}

// openBook opens a workbook. A damaged one must not bring the program down,
// whatever the library meets in it.
func openBook(src *source) (book *excelize.File, err error) {
	defer func() {
		if p := recover(); p != nil {
			book, err = nil, src.fail(fmt.Sprintf("is a damaged spreadsheet: %v", p), "save it again as .xlsx or .csv", ErrNotText)
		}
	}()
	book, err = excelize.OpenReader(io.NewSectionReader(src.r, 0, src.size),
		excelize.Options{UnzipSizeLimit: maxUnpacked, UnzipXMLSizeLimit: maxUnpacked, RawCellValue: true})
	if err != nil {
		return nil, src.fail("can't be read as a spreadsheet: "+err.Error(), "save it again as .xlsx or .csv, without a password", err)
	}
	return book, nil
}

// chooseSheet returns the sheet that is asked for, or the one with most rows
// of two cells or more.
func chooseSheet(src *source, book *excelize.File, want string) (sheet string, others []string, err error) {
	names := book.GetSheetList()
	if want != "" {
		if !slices.Contains(names, want) {
			return "", nil, src.fail(fmt.Sprintf("has no sheet %q; it has %q", want, names), "correct sheet in the layout", ErrNoData)
		}
		return want, nil, nil
	}
	most := 0
	rows, heads := map[string]int{}, map[string]string{}
	for _, name := range names {
		if visible, err := book.GetSheetVisible(name); err == nil && !visible && len(names) > 1 {
			continue
		}
		n := 0
		err := eachRow(book, name, true, func(cells []string) {
			if len(cells) >= 2 {
				if n == 0 {
					heads[name] = strings.Join(cells, "\t")
				}
				n++
			}
		})
		rows[name] = n
		if err != nil {
			return "", nil, src.fail(fmt.Sprintf("sheet %q can't be read: %v", name, err), "save it again as .xlsx or .csv", err)
		}
		if n > 0 {
			others = append(others, name)
		}
		if n > most {
			most, sheet = n, name
		}
	}
	if sheet == "" {
		return "", nil, src.fail(fmt.Sprintf("has no table in any of its sheets %q", names), "check that it holds the readings", ErrEmpty)
	}
	// Sheets with the same header and about as many rows are drives of one kind.
	ask := &AmbiguousError{File: src.path, What: "which sheet to read"}
	for _, name := range names {
		if heads[name] == heads[sheet] && 2*rows[name] >= most {
			ask.Readings = append(ask.Readings, Reading{fmt.Sprintf("sheet %q with %d rows", name, rows[name]), fmt.Sprintf("sheet = %q", name)})
		}
	}
	if len(ask.Readings) > 1 {
		return "", nil, ask
	}
	return sheet, slices.DeleteFunc(others, func(s string) bool { return s == sheet }), nil
}

// eachRow calls f with the cells of each row, blank rows included.
func eachRow(book *excelize.File, sheet string, raw bool, f func([]string)) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("damaged sheet: %v", p)
		}
	}()
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
		f(cells[:min(len(cells), maxColumns)])
	}
	return rows.Error()
}

// dateKind says how the day numbers of a column are shown.
type dateKind int

const (
	notDate dateKind = iota
	dateAndTime
	dateOnly
	timeOnly
	percent
)

// dateColumns finds the columns whose numbers are shown as dates or times.
func dateColumns(book *excelize.File, sheet string) ([]dateKind, error) {
	const look = 300
	var shown, stored [][]string
	for raw, into := range map[bool]*[][]string{false: &shown, true: &stored} {
		n := 0
		if err := eachRow(book, sheet, raw, func(c []string) {
			if n++; n <= look {
				*into = append(*into, c)
			}
		}); err != nil {
			return nil, err
		}
	}
	var kinds []dateKind
	seen, percents := map[int]int{}, map[int]int{}
	whole, small := map[int]int{}, map[int]int{}
	for r := range min(len(shown), len(stored)) {
		for c := range min(len(shown[r]), len(stored[r])) {
			v, ok := parseNumber([]byte(stored[r][c]), '.')
			s := shown[r][c]
			if ok && strings.HasSuffix(s, "%") && !strings.HasSuffix(stored[r][c], "%") {
				percents[c]++
			}
			if !ok || v < 0 || s == stored[r][c] || !strings.ContainsAny(s, ":/-.") || strings.HasPrefix(s, "-") {
				continue
			}
			if k := classify([]byte(s), '.'); k != cellDate && k != cellClock && k != cellStamp && !strings.Contains(s, ":") {
				continue
			}
			seen[c]++
			if v == math.Trunc(v) {
				whole[c]++
			}
			if v < 1 {
				small[c]++
			}
		}
	}
	for c, n := range seen {
		for len(kinds) <= c {
			kinds = append(kinds, notDate)
		}
		switch n {
		case small[c]:
			kinds[c] = timeOnly
		case whole[c]:
			kinds[c] = dateOnly
		default:
			kinds[c] = dateAndTime
		}
	}
	for c := range percents {
		for len(kinds) <= c {
			kinds = append(kinds, notDate)
		}
		kinds[c] = percent
	}
	return kinds, nil
}

// sheetText writes a sheet as lines of cells between tabs, one line for each
// row, so that line numbers are row numbers.
func sheetText(src *source, book *excelize.File, sheet string) ([]byte, error) {
	bad := func(err error) error {
		return src.fail(fmt.Sprintf("sheet %q can't be read: %v", sheet, err), "save it again as .xlsx or .csv", err)
	}
	kinds, err := dateColumns(book, sheet)
	if err != nil {
		return nil, bad(err)
	}
	days := int64(0)
	if p, err := book.GetWorkbookProps(); err == nil && p.Date1904 != nil && *p.Date1904 {
		days = 1462 // days from 1899-12-30 to 1904-01-01
	}
	var b bytes.Buffer
	clean := strings.NewReplacer("\t", " ", "\n", " ", "\r", " ", `"`, "'")
	err = eachRow(book, sheet, true, func(cells []string) {
		for i, c := range cells {
			if i > 0 {
				b.WriteByte('\t')
			}
			if i < len(kinds) && kinds[i] != notDate {
				v, ok := parseNumber([]byte(c), '.')
				if ok && kinds[i] == percent { // 0.4, shown as 40 %
					b.WriteString(strconv.FormatFloat(v*100, 'g', 15, 64) + "%")
					continue
				}
				if ok && v >= 0 && v < 3e6 {
					b.WriteString(dayNumber(v, days, kinds[i]))
					continue
				}
			}
			b.WriteString(clean.Replace(c))
		}
		// A row of text alone is kept whole; short rows are filled up below.
		b.WriteByte('\n')
	})
	if err != nil {
		return nil, bad(err)
	}
	return oneDecimal(fillRows(b.Bytes())), nil
}

var (
	pointNumber = regexp.MustCompile(`(?m)(?:^|\t)[+-]?[0-9]+\.[0-9]+(?:\t|$)`)
	commaNumber = regexp.MustCompile(`(?m)(^|\t)([+-]?[0-9]+),([0-9]{1,2}|[0-9]{4,})(\t|$)`)
)

// oneDecimal gives numbers typed as text with a decimal comma the point that
// stored numbers have, where a sheet holds both. Three digits behind the comma
// may be thousands, and stay text.
func oneDecimal(text []byte) []byte {
	if !pointNumber.Match(text) || !commaNumber.Match(text) {
		return text
	}
	for range 2 { // neighbours share the tab between them
		text = commaNumber.ReplaceAll(text, []byte("$1$2.$3$4"))
	}
	return text
}

// fillRows gives every row of two cells or more as many as the widest: a sheet
// drops empty cells at the end of a row, which is not a shift.
func fillRows(text []byte) []byte {
	lines := bytes.Split(bytes.TrimSuffix(text, []byte("\n")), []byte("\n"))
	widest := 0
	for _, l := range lines {
		widest = max(widest, bytes.Count(l, []byte("\t")))
	}
	out := make([]byte, 0, len(text)+len(lines))
	for _, l := range lines {
		out = append(out, l...)
		if n := bytes.Count(l, []byte("\t")); n > 0 {
			out = append(out, bytes.Repeat([]byte("\t"), widest-n)...)
		}
		out = append(out, '\n')
	}
	return out
}

// dayNumber writes a day number as date and time, to the millisecond.
func dayNumber(v float64, shift int64, kind dateKind) string {
	ms := int64(math.Round(v * 86400e3))
	t := time.Unix((shift-25569)*86400, 0).UTC().Add(time.Duration(ms) * time.Millisecond)
	switch kind {
	case timeOnly:
		return t.Format("15:04:05.000")
	case dateOnly:
		return t.Format("2006-01-02")
	}
	return t.Format("2006-01-02 15:04:05.000")
}
