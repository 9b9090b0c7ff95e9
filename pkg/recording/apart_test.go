package recording

import (
	"bytes"
	"fmt"
	"testing"

	"github.com/xuri/excelize/v2"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
)

// A workbook whose names change further down than its file has line ends is read
// up to there, and says so; it was taken apart without end.
func TestOtherNamesInWorkbook(t *testing.T) {
	book := excelize.NewFile()
	row := 0
	add := func(cells ...any) {
		row++
		if err := book.SetSheetRow("Sheet1", fmt.Sprintf("A%d", row), &cells); err != nil {
			t.Fatal(err)
		}
	}
	add("Time (s)", "T1 (°C)", "T2 (°C)")
	for i := range 2000 {
		add(i, 20+float64(i%7)/10, 30+float64(i%5)/10)
	}
	add("Time (s)", "rpm", "speed (km/h)")
	for i := range 300 {
		add(2000+i, 800+i, i%90)
	}
	var b bytes.Buffer
	if err := book.Write(&b); err != nil {
		t.Fatal(err)
	}
	r, err := readBytes(b.Bytes())
	if err != nil || r.Rows() != 2000 || !r.Account.Balanced() || !estimate.Has(r.Warnings, estimate.LostReadings) || len(r.Account.Rejects) != 300 {
		t.Errorf("%v, %v", r, err)
	}
}
