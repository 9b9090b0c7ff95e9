package delimited

import (
	"bytes"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/format"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Rewritten is a file that is no table, laid out as one in memory: a header
// and a row for each moment, between tabs. It remembers which lines of the file
// each row came from.
type Rewritten struct {
	Account account.Account // of the lines that gave no row
	// Delimiter and Decimal are those of the file, empty where it has none.
	Delimiter layout.Delimiter
	Decimal   layout.Decimal

	text  bytes.Buffer
	lines []int // of the file, those of each row after those before
	first []int // where each row's begin in lines
}

// maxRewritten is how much text is held in memory.
const maxRewritten = 1 << 30

// Header writes the names of the columns, which come first.
func (w *Rewritten) Header(names []string) { w.write(names) }

// Row writes a row that came from the given lines of the file. It fails where
// more would have to be held than is allowed.
func (w *Rewritten) Row(src *source.Source, cells []string, lines ...int) error {
	w.first = append(w.first, len(w.lines))
	w.lines = append(w.lines, lines...)
	w.write(cells)
	if w.text.Len() > maxRewritten {
		return src.Fail("is too large to be turned into a table in memory", "split it, or export it with one column for each channel", account.ErrLimit)
	}
	return nil
}

// Rows is the number of rows so far.
func (w *Rewritten) Rows() int { return len(w.first) }

func (w *Rewritten) write(cells []string) {
	for i, c := range cells {
		if i > 0 {
			w.text.WriteByte('\t')
		}
		w.text.WriteString(c)
	}
	w.text.WriteByte('\n')
}

// Table reads the rows as a text file of their own, and tells lines by those of
// the file. It fails as Read does.
func (w *Rewritten) Table(src *source.Source, how format.Request, name layout.Format) (*table.Table, error) {
	inner, err := source.New(src.Path, bytes.NewReader(w.text.Bytes()), int64(w.text.Len()))
	if err != nil {
		return nil, err
	}
	inner.Encoding = layout.UTF8
	l := how.Layout
	names := 1 // also where they are numbers
	l.Format, l.Encoding, l.Delimiter, l.HeaderLines = "", "", layout.Tab, &names
	how.Layout = l
	t, err := Read(inner, how)
	if err != nil {
		return nil, w.ofFile(err)
	}
	var lines table.LineMap
	kept := 0
	told := make([]bool, len(w.first)) // rows that were read or rejected
	for r := range t.Time {
		told[w.row(t.Lines.Of(r))] = true
		of := w.of(t.Lines.Of(r))
		lines.Add(r, of[0])
		kept += len(of)
	}
	t.Lines = lines
	a := w.Account
	if a.Unit == "" {
		a.Unit = t.Account.Unit
	}
	a.Read, a.Missing, a.Changes = kept, t.Account.Missing, t.Account.Changes
	for _, x := range t.Account.Rejects {
		told[w.row(x.Line)] = true
		for _, l := range w.of(x.Line) {
			a.Rejects = append(a.Rejects, account.Reject{Line: l, Reason: x.Reason})
		}
	}
	// What the reader of text takes for part of a header is a row here.
	for i, known := range told {
		if !known {
			for _, l := range w.of(i + 2) {
				a.Rejects = append(a.Rejects, account.Reject{Line: l, Reason: "no row of readings, but as names, units or a damaged row are"})
			}
		}
	}
	table.SortRejects(a.Rejects)
	t.Account = &a
	t.Format, t.File = name, src.Path
	// What holds for the file holds for its rows but for their columns.
	l = t.Layout
	l.Encoding, l.Columns, l.HeaderLines, l.Delimiter, l.Decimal = src.Encoding, nil, nil, w.Delimiter, w.Decimal
	t.Layout = l
	return t, nil
}

// row returns which row a line of the rewritten text is.
func (w *Rewritten) row(line int) int { return min(max(0, line-2), len(w.first)-1) }

// of returns the lines of the file that gave a line of the rewritten text.
func (w *Rewritten) of(line int) []int {
	row := w.row(line)
	if row+1 < len(w.first) {
		return w.lines[w.first[row]:w.first[row+1]]
	}
	return w.lines[w.first[row]:]
}

// ofFile puts the file's own line into an error.
func (w *Rewritten) ofFile(err error) error {
	switch e := err.(type) {
	case *account.FileError:
		if e.Line > 0 {
			e.Line = w.of(e.Line)[0]
		}
	case *account.AmbiguousError:
		if e.Line > 0 {
			e.Line = w.of(e.Line)[0]
		}
	}
	return err
}
