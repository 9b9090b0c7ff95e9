package recording

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"testing"
)

// TestRepeatedRows reads a sheet without times in which one row stands for
// many, as equal rows are stored: all of them count, or the file is refused.
func TestRepeatedRows(t *testing.T) {
	row := func(value string, times int) string {
		return fmt.Sprintf(`<table:table-row table:number-rows-repeated="%d"><table:table-cell office:value-type="float" office:value="%s"/><table:table-cell office:value-type="float" office:value="30"/></table:table-row>`, times, value)
	}
	head := `<table:table-row><table:table-cell office:value-type="string"><text:p>T1 (°C)</text:p></table:table-cell><table:table-cell office:value-type="string"><text:p>T2 (°C)</text:p></table:table-cell></table:table-row>`
	for times, want := range map[int]error{5000: nil, 20000: ErrLimit} {
		var b bytes.Buffer
		z := zip.NewWriter(&b)
		w, _ := z.CreateHeader(&zip.FileHeader{Name: "mimetype", Method: zip.Store})
		io.WriteString(w, "application/vnd.oasis.opendocument.spreadsheet")
		w, _ = z.Create("content.xml")
		io.WriteString(w, `<office:document-content><office:body><office:spreadsheet><table:table table:name="S">`+head+row("20", 3)+row("20.5", times)+row("21", 2)+`</table:table></office:spreadsheet></office:body></office:document-content>`)
		z.Close()
		r, err := Read("drive.ods", bytes.NewReader(b.Bytes()), Options{Layout: Layout{Interval: 1}})
		if !errors.Is(err, want) {
			t.Errorf("%d equal rows: %v, want %v", times, err, want)
		}
		if want == nil && err == nil && r.Account.Read != times+5 {
			t.Errorf("%d of %d rows read", r.Account.Read, times+5)
		}
	}
}
