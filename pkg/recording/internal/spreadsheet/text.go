package spreadsheet

import (
	"bytes"
	"fmt"
	"regexp"
	"strconv"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/parse"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/sheet"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
)

// maxText bounds the text of a sheet. A million rows of thirty columns take
// 200 MB of the file, unpacked, and about as much here.
const maxText = 256 << 20

// A file of few bytes has no more than fewText, and others so many times their
// size; with readings in it, it is three times. One long text can stand in
// every cell.
const (
	fewText    = 16 << 20
	textOfFile = 16
)

// Rows that are shorter than the widest are filled up, to so many cells where
// there is little text.
const (
	maxFilled = 16 << 20
	fillings  = 16
)

// sheetText writes a sheet as lines of cells between tabs, one line for each
// row, so that line numbers are row numbers.
func sheetText(src *source.Source, book *workbook, name string) ([]byte, error) {
	bad := func(err error) error {
		return src.Fail(fmt.Sprintf("sheet %q can't be read: %v", name, err), "save it again as .xlsx or .csv", err)
	}
	kinds, err := dateColumns(book, name)
	if err != nil {
		return nil, bad(err)
	}
	if p, err := book.GetWorkbookProps(); err == nil && p.Date1904 != nil && *p.Date1904 {
		src.DayZero = source.Days1904
	}
	var b bytes.Buffer
	rows, widest := 0, 0
	left := maxCells
	err = eachRow(book, name, true, &left, func(cells []string) error {
		for i, c := range cells {
			if i > 0 {
				b.WriteByte('\t')
			}
			if i < len(kinds) && kinds[i] != notDate {
				v, ok := parse.Number([]byte(c), '.')
				if ok && kinds[i] == percent { // 0.4, shown as 40 %
					b.WriteString(strconv.FormatFloat(v*100, 'g', 15, 64) + "%")
					continue
				}
				if ok && v >= 0 && v < 3e6 {
					b.WriteString(dayNumber(v, src.DayZero, kinds[i]))
					continue
				}
			}
			b.WriteString(cell.Plain(c))
		}
		// A row of text alone is kept whole; short rows are filled up below.
		b.WriteByte('\n')
		rows, widest = rows+1, max(widest, len(cells))
		if int64(b.Len()) > min(maxText, fewText+textOfFile*src.Size) || rows*widest > maxFilled+fillings*b.Len() {
			return fmt.Errorf("it has too much text, or rows that are far wider than the others (%d rows of up to %d cells): %w", rows, widest, account.ErrLimit)
		}
		return nil
	})
	if err != nil {
		return nil, bad(err)
	}
	return oneDecimal(sheet.Fill(b.Bytes())), nil
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
