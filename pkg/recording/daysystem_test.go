package recording

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/xuri/excelize/v2"
)

// The day 2024-06-03 in both date systems of workbooks: they are 1,462 days apart
// (ECMA-376 part 1, 18.17.4.1), and 45446 by the first.
const (
	dayIn1900 = 45446
	dayIn1904 = dayIn1900 - 1462
)

var dayInBoth = time.Date(2024, 6, 3, 14, 30, 0, 0, time.UTC)

// dayNumberOf is the number of row i: 14:30 and 2 s more for each row.
func dayNumberOf(day float64, i int) float64 { return day + (14.5*3600+2*float64(i))/86400 }

// TestWorkbook1904 reads times of a workbook in both date systems, in cells that
// are shown as dates and in those that show the number.
func TestWorkbook1904(t *testing.T) {
	for _, since1904 := range []bool{false, true} {
		for _, shown := range []string{"", "yyyy-mm-dd hh:mm:ss", "General"} {
			f := excelize.NewFile()
			day := float64(dayIn1900)
			if since1904 {
				day = dayIn1904
				if err := f.SetWorkbookProps(&excelize.WorkbookPropsOptions{Date1904: &since1904}); err != nil {
					t.Fatal(err)
				}
			}
			f.SetSheetRow("Sheet1", "A1", &[]any{"Time", "Air (°C)"})
			for i := range 40 {
				f.SetSheetRow("Sheet1", fmt.Sprintf("A%d", i+2), &[]any{dayNumberOf(day, i), 20.5 + float64(i%3)})
			}
			if shown != "" {
				style, err := f.NewStyle(&excelize.Style{CustomNumFmt: &shown})
				if err != nil {
					t.Fatal(err)
				}
				f.SetCellStyle("Sheet1", "A2", "A41", style)
			}
			var b bytes.Buffer
			if err := f.Write(&b); err != nil {
				t.Fatal(err)
			}
			r, err := Read("book.xlsx", bytes.NewReader(b.Bytes()), Options{})
			checkDays(t, fmt.Sprintf("since 1904 %t, shown by %q", since1904, shown), r, err)
		}
	}
}

func checkDays(t *testing.T, name string, r *Recording, err error) {
	t.Helper()
	if err != nil {
		t.Errorf("%s: %v", name, err)
		return
	}
	if off := r.Start.Sub(dayInBoth); off.Abs() > time.Millisecond || !r.Dated || r.Rows() != 40 || math.Abs(r.Columns[0].Series.Time[39]-78) > 1e-3 {
		t.Errorf("%s: begins at %v, want %v; dated %t, %d rows", name, r.Start, dayInBoth, r.Dated, r.Rows())
	}
}

// TestOpenDocumentNullDate reads day numbers by the null date of the file; dates
// as such stay what they are.
func TestOpenDocumentNullDate(t *testing.T) {
	cell := func(kind, value string) string {
		return fmt.Sprintf(`<table:table-cell office:value-type=%q office:%svalue=%q/>`, kind, map[string]string{"date": "date-"}[kind], value)
	}
	read := func(settings string, first func(i int) string) (*Recording, error) {
		body := `<table:table-row><table:table-cell office:value-type="string"><text:p>Time</text:p></table:table-cell><table:table-cell office:value-type="string"><text:p>Air (°C)</text:p></table:table-cell></table:table-row>`
		for i := range 40 {
			body += "<table:table-row>" + first(i) + cell("float", fmt.Sprint(20.5+float64(i%3))) + "</table:table-row>"
		}
		var b bytes.Buffer
		z := zip.NewWriter(&b)
		w, _ := z.CreateHeader(&zip.FileHeader{Name: "mimetype", Method: zip.Store})
		io.WriteString(w, "application/vnd.oasis.opendocument.spreadsheet")
		w, _ = z.Create("content.xml")
		io.WriteString(w, `<office:document-content><office:body><office:spreadsheet>`+settings+`<table:table table:name="S">`+body+`</table:table></office:spreadsheet></office:body></office:document-content>`)
		z.Close()
		return Read("drive.ods", bytes.NewReader(b.Bytes()), Options{})
	}
	numbers := func(day float64) func(int) string {
		return func(i int) string { return cell("float", fmt.Sprintf("%.9f", dayNumberOf(day, i))) }
	}
	dates := func(i int) string {
		return cell("date", dayInBoth.Add(time.Duration(2*i)*time.Second).Format("2006-01-02T15:04:05"))
	}
	zero := func(day string) string {
		return `<table:calculation-settings><table:null-date table:date-value="` + day + `"/></table:calculation-settings>`
	}
	for _, c := range []struct {
		settings string
		first    func(int) string
	}{{"", numbers(dayIn1900)}, {zero("1899-12-30"), numbers(dayIn1900)}, {zero("1904-01-01"), numbers(dayIn1904)}, {zero("1904-01-01"), dates}, {"", dates}} {
		r, err := read(c.settings, c.first)
		checkDays(t, c.settings+" "+c.first(0), r, err)
	}
	if _, err := read(zero("1900-01-01"), numbers(dayIn1900-2)); err == nil || !strings.Contains(err.Error(), "1900-01-01") {
		t.Errorf("days since 1900-01-01: %v", err)
	}
}

// TestBinarySheet1904 reads the date mode of a binary workbook: the record 0x0022
// holds 1 where days count from 1904 ([MS-XLS] 2.4.77).
func TestBinarySheet1904(t *testing.T) {
	record := func(kind uint16, data ...byte) []byte {
		head := binary.LittleEndian.AppendUint16(nil, kind)
		return append(binary.LittleEndian.AppendUint16(head, uint16(len(data))), data...)
	}
	bof := func(kind byte) []byte { return record(0x0809, 0, 6, kind, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0) }
	number := func(row, column int, style byte, v float64) []byte {
		return record(0x0203, binary.LittleEndian.AppendUint64([]byte{byte(row), 0, byte(column), 0, style, 0}, math.Float64bits(v))...)
	}
	label := func(column byte, text string) []byte {
		return record(0x0204, append([]byte{0, 0, column, 0, 0, 0, byte(len(text)), 0, 0}, text...)...)
	}
	for _, mode := range []byte{0, 1} {
		for style := range byte(2) { // 0 shows the number, 1 date and time
			book := bytes.Join([][]byte{bof(5), record(0x0022, mode, 0),
				record(0x00e0, make([]byte, 20)...), record(0x00e0, append([]byte{0, 0, 22}, make([]byte, 17)...)...)}, nil)
			name := []byte("S")
			at := len(book) + 4 + 8 + len(name) + 4
			book = append(book, record(0x0085, append(binary.LittleEndian.AppendUint32(nil, uint32(at)), 0, 0, byte(len(name)), 0, name[0])...)...)
			book = append(book, record(0x000a)...)
			if len(book) != at {
				at = len(book)
				t.Fatalf("the sheet begins at %d", at)
			}
			book = append(append(append(book, bof(16)...), label(0, "Time")...), label(1, "Air (\xb0C)")...)
			for i := range 40 {
				book = append(book, number(i+1, 0, style, dayNumberOf(dayIn1900-1462*float64(mode), i))...)
				book = append(book, number(i+1, 1, 0, 20.5+float64(i%3))...)
			}
			book = append(book, record(0x000a)...)
			r, err := Read("book.xls", bytes.NewReader(book), Options{})
			checkDays(t, fmt.Sprintf("date mode %d, style %d", mode, style), r, err)
		}
	}
}

// TestDayNumbersInText reads day numbers that a workbook counted from 1904 and a text
// holds: nothing in it says so, but a date in the preamble or the file's name does, and
// then it is asked; a file that was written years later warns. Dates that agree are
// read without a word.
func TestDayNumbersInText(t *testing.T) {
	text := func(preamble string, day float64) string {
		text := preamble + "Time,Air (°C)\n"
		for i := range 40 {
			text += fmt.Sprintf("%.9f,%.1f\n", dayNumberOf(day, i), 20.5+float64(i%3))
		}
		return text
	}
	saved := dayInBoth.AddDate(0, 0, 2)
	for _, c := range []struct {
		name, preamble string
		day            float64
		changed        time.Time
		want           string
	}{
		{"log_20240603.csv", "", dayIn1904, saved, "asks"},
		{"log.csv", "Recorded 2024-06-03\n", dayIn1904, saved, "asks"},
		{"log.csv", "", dayIn1904, saved, "warns"},
		{"log_20240603.csv", "", dayIn1900, saved, ""},
		{"log.csv", "Recorded 2024-06-03\n", dayIn1900, saved, ""},
		{"log.csv", "", dayIn1900, saved, ""},
		{"log_20230101.csv", "", dayIn1900, saved, ""},
	} {
		path := filepath.Join(t.TempDir(), c.name)
		if err := errors.Join(os.WriteFile(path, []byte(text(c.preamble, c.day)), 0o600), os.Chtimes(path, c.changed, c.changed)); err != nil {
			t.Fatal(err)
		}
		r, err := Open(path, Options{})
		got := ""
		var ask *AmbiguousError
		switch {
		case errors.As(err, &ask) && strings.Contains(err.Error(), `"days since 1904"`) && strings.Contains(err.Error(), "2024-06-03"):
			got = "asks"
		case err != nil:
			t.Errorf("%s: %v", c.name, err)
			continue
		case slices.ContainsFunc(r.Warnings, func(w estimate.Warning) bool { return w.Kind == account.TimeUnit }):
			got = "warns"
		}
		if got != c.want {
			t.Errorf("%s, %q, day %g: %q, want %q: %v", c.name, c.preamble, c.day, got, c.want, err)
		}
		if c.want == "" {
			continue
		}
		r, err = Open(path, Options{Layout: Layout{TimeFormat: SpreadsheetDays1904}})
		checkDays(t, c.name+" with the answer", r, err)
	}
}
