package simulate

import (
	"bytes"
	"fmt"
	"math"

	"github.com/xuri/excelize/v2"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Spreadsheet returns the rows as an .xlsx file: a sheet "Readings" with real
// date cells and °C in the header, open circuits as the text "OL".
//
// It fails where the spreadsheet can't be made.
func Spreadsheet(names []string, rows []Row) ([]byte, error) {
	const sheet = "Readings"
	f := excelize.NewFile()
	defer f.Close()
	if err := f.SetSheetName("Sheet1", sheet); err != nil {
		return nil, fmt.Errorf("simulate: spreadsheet: %w", err)
	}
	header := []any{"Date and time"}
	for _, n := range names {
		header = append(header, n+" [°C]")
	}
	lines := [][]any{header}
	for _, r := range rows {
		line := []any{r.Clock.UTC()}
		for _, k := range r.Values {
			if math.IsNaN(k) {
				line = append(line, "OL")
			} else {
				line = append(line, math.Round(quantity.Kelvin(k).Celsius()*10)/10)
			}
		}
		lines = append(lines, line)
	}
	for i := range lines {
		if err := f.SetSheetRow(sheet, fmt.Sprintf("A%d", i+1), &lines[i]); err != nil {
			return nil, fmt.Errorf("simulate: spreadsheet: %w", err)
		}
	}
	style, err := f.NewStyle(&excelize.Style{CustomNumFmt: ptr("yyyy-mm-dd hh:mm:ss")})
	if err != nil {
		return nil, fmt.Errorf("simulate: spreadsheet: %w", err)
	}
	if err := f.SetCellStyle(sheet, "A2", fmt.Sprintf("A%d", len(lines)), style); err != nil {
		return nil, fmt.Errorf("simulate: spreadsheet: %w", err)
	}
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		return nil, fmt.Errorf("simulate: spreadsheet: %w", err)
	}
	return b.Bytes(), nil
}

func ptr[T any](v T) *T { return &v }
