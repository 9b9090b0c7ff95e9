// Package sheet takes the rows of cells that formats of spreadsheets hold, and
// reads them as the lines of a text table, one for each row.
package sheet

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/delimited"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/format"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Limits on what rows may hold: a million rows of thirty columns take 200 MB.
const (
	maxText = 256 << 20
	// maxFilled bounds the cells that fill short rows up to the widest, beside
	// so many for each byte of text.
	maxFilled = 16 << 20
	fillings  = 16
)

// Rows are the rows of one sheet, as text.
type Rows struct {
	Name string // of the sheet; empty where the format has none
	Wide int    // rows of two cells or more
	Head string // the first of those, to tell sheets of one kind

	text       bytes.Buffer
	rows, most int
}

// Add adds a row, which may be empty. It fails where more would have to be held
// than is allowed.
func (r *Rows) Add(cells []string) error {
	for len(cells) > 0 && cells[len(cells)-1] == "" {
		cells = cells[:len(cells)-1]
	}
	for i, c := range cells {
		if i > 0 {
			r.text.WriteByte('\t')
		}
		r.text.WriteString(cell.Plain(c))
	}
	r.text.WriteByte('\n')
	r.rows, r.most = r.rows+1, max(r.most, len(cells))
	r.Count(cells)
	if r.text.Len() > maxText || r.rows*r.most > maxFilled+fillings*r.text.Len() {
		return fmt.Errorf("it has too much text, or rows that are far wider than the others (%d rows of up to %d cells): %w", r.rows, r.most, account.ErrLimit)
	}
	return nil
}

// Count takes a row into Wide and Head alone.
func (r *Rows) Count(cells []string) {
	if len(cells) < 2 {
		return
	}
	if r.Wide == 0 {
		r.Head = strings.Join(cells, "\t")
	}
	r.Wide++
}

// Choose returns the sheet that is asked for, or the one with most rows of two
// cells or more, and the names of the others that have any. It asks where
// several have the same first row and about as many rows.
func Choose(src *source.Source, all []*Rows, want string) (chosen *Rows, others []string, err error) {
	var names []string
	for _, r := range all {
		names = append(names, r.Name)
		if want != "" && r.Name == want {
			return r, nil, nil
		}
		if chosen == nil || r.Wide > chosen.Wide {
			chosen = r
		}
	}
	switch {
	case want != "":
		return nil, nil, src.Fail(fmt.Sprintf("has no sheet %q; it has %q", want, names), "correct sheet in the layout", account.ErrNoData)
	case chosen == nil || chosen.Wide == 0:
		return nil, nil, src.Fail(fmt.Sprintf("has no table in any of its sheets %q", names), "check that it holds the readings", account.ErrEmpty)
	}
	ask := &account.AmbiguousError{File: src.Path, What: "which sheet to read"}
	for _, r := range all {
		if r.Head == chosen.Head && 2*r.Wide >= chosen.Wide {
			ask.Readings = append(ask.Readings, account.Reading{Meaning: fmt.Sprintf("sheet %q with %d rows", r.Name, r.Wide), Setting: fmt.Sprintf("sheet = %q", r.Name)})
		}
		if r != chosen && r.Wide > 0 {
			others = append(others, r.Name)
		}
	}
	if len(ask.Readings) > 1 {
		return nil, nil, ask
	}
	return chosen, others, nil
}

// OnlySheet warns of a sheet's name and those of the others that were not read.
const OnlySheet = "only sheet %q was read; there are also %q"

// Read reads the rows of the sheet that Choose chooses as a text table of the
// format name. It warns of other sheets by only, which takes the name of the
// sheet and the names of the others. It fails as Choose and Text do.
func Read(src *source.Source, all []*Rows, how format.Request, name layout.Format, only string) (*table.Table, error) {
	rows, others, err := Choose(src, all, how.Layout.Sheet)
	if err != nil {
		return nil, err
	}
	t, err := Text(src, Fill(rows.text.Bytes()), rows.Name, how, name)
	if err == nil && len(others) > 0 {
		t.Warnings.Add(estimate.LostReadings, t.Name(), fmt.Sprintf(only, rows.Name, others))
	}
	return t, err
}

// Text reads the text of a sheet, one line for each row with tabs between
// cells, as a text table of the format name. It fails where no cell has
// content, and as delimited.Read does.
func Text(src *source.Source, text []byte, sheet string, how format.Request, name layout.Format) (*table.Table, error) {
	inner, err := source.New(src.Path, bytes.NewReader(text), int64(len(text)))
	if err != nil {
		return nil, src.Fail(fmt.Sprintf("has no cell with content in sheet %q", sheet), "name another sheet in the layout", account.ErrEmpty)
	}
	inner.Encoding, inner.DayZero = layout.UTF8, src.DayZero
	how.Layout.Delimiter, how.Layout.Encoding, how.Layout.Format = layout.Tab, "", ""
	if how.Layout.Decimal == "" && !bytes.Contains(text, []byte(",")) {
		how.Layout.Decimal = layout.DecimalPoint
	}
	t, err := delimited.Read(inner, how)
	if err != nil {
		return nil, err
	}
	if err := source.FillTexts(inner, t.Account); err != nil {
		return nil, err
	}
	t.Format, t.Account.Unit = name, "sheet rows"
	t.Layout.Sheet, t.Layout.Encoding = sheet, ""
	return t, nil
}

// Fill gives every row of two cells or more as many as the widest: programs
// drop empty cells at the end of a row, which is not a shift.
func Fill(text []byte) []byte {
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
