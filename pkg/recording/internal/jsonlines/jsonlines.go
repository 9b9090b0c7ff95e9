// Package jsonlines reads files with one JSON object on each line, as apps of
// phones write them: each is a row, its members are columns.
package jsonlines

import (
	"bytes"
	"fmt"
	"iter"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/delimited"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/format"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Format is JSON lines.
var Format = format.Format{Name: layout.JSONLines, Lines: true, Recognise: recognise, Read: read}

// Limits on what a line may hold, and on the size of a file whose rows are kept.
const (
	mostColumns = 256
	deepest     = 4
	mostKept    = 4 << 20
)

// recognise reports whether the first line that is not empty is an object, and
// one of several where it holds lists: alone it is a document.
func recognise(src *source.Source) bool {
	first, wide := src.Head[0], src.Encoding == layout.UTF16LE || src.Encoding == layout.UTF16BE
	if !wide && first > ' ' && first < 0x7f && first != '{' {
		return false // whatever the line holds
	}
	text, err := src.First(source.MaxLine)
	if err != nil {
		return false
	}
	lines, lists := 0, false
	for line := range bytes.Lines(text) {
		if line = bytes.TrimSpace(line); len(line) == 0 {
			continue
		}
		if lines++; lines == 2 {
			break
		}
		all, err := object(line)
		if err != nil || featuresOf(all) != nil {
			return false
		}
		lists = bytes.IndexByte(line, '[') >= 0 || bytes.Contains(line, []byte(`{"0":`))
	}
	return lines == 2 || lines == 1 && !lists
}

// object returns the members of an object in their order. It fails where the
// line is none.
func object(line []byte) (members, error) {
	if len(line) == 0 || line[0] != '{' {
		return nil, fmt.Errorf("is no JSON object")
	}
	v, err := value(line)
	if err != nil {
		return nil, fmt.Errorf("is no whole JSON object: %w", err)
	}
	return v.(members), nil
}

func read(src *source.Source, how format.Request) (*table.Table, error) {
	var f found
	var w delimited.Rewritten
	objects := 0
	write := func() error {
		f.fill()
		for i, cells := range f.rows {
			if err := w.Row(src, cells, f.entry[i]); err != nil {
				return err
			}
		}
		w.Account.Lines += len(f.rows)
		objects += f.entries()
		f.rows, f.entry = f.rows[:0], f.entry[:0]
		return nil
	}
	// The header needs the names of all objects. The rows of a small file are kept
	// meanwhile; a large one is read twice.
	small := src.Size <= mostKept
	for _, err := range f.lines(src, kept(small, &w.Account)) {
		if err != nil {
			return nil, err
		}
		if !small {
			f.rows, f.entry = nil, nil
		}
	}
	w.Header(f.names)
	if !small {
		for _, err := range f.lines(src, &w.Account) {
			if err == nil {
				err = write()
			}
			if err != nil {
				return nil, err
			}
		}
	}
	if err := write(); err != nil {
		return nil, err
	}
	if w.Rows() == 0 {
		why := ""
		if r := w.Account.Rejects; len(r) > 0 {
			why = fmt.Sprintf("; line %d %s", r[0].Line, r[0].Reason)
		}
		return nil, src.Fail("has no line with a JSON object of numbers and texts"+why, "export the readings as .csv", account.ErrNoData)
	}
	if f.batches {
		w.Account.Unit = "readings"
	}
	lost := len(w.Account.Rejects)
	t, err := w.Table(src, how, layout.JSONLines)
	if err == nil {
		f.tell(t, lost, lost+objects)
	}
	return t, err
}

// kept is the account where it is wanted, else nil.
func kept(wanted bool, a *account.Account) *account.Account {
	if !wanted {
		return nil
	}
	return a
}

// lines puts the rows of each line into f, and yields the line's number. What
// gives no row is told in a, where that is wanted.
func (f *found) lines(src *source.Source, a *account.Account) iter.Seq2[int, error] {
	return func(yield func(int, error) bool) {
		for l, err := range src.Lines() {
			if err != nil {
				yield(0, err)
				return
			}
			line := bytes.TrimSpace(l.Text)
			if len(line) == 0 {
				if a != nil {
					a.Lines, a.Blank = a.Lines+1, a.Blank+1
				}
				continue
			}
			rows, err := f.line(line, l.Long)
			if err != nil && a != nil {
				a.Lines++
				a.Rejects = append(a.Rejects, account.Reject{Line: l.Number, Reason: err.Error(), Text: cell.Excerpt(line)})
			}
			for _, r := range rows {
				f.add(r, l.Number)
			}
			if len(rows) > 0 && !yield(l.Number, nil) {
				return
			}
		}
	}
}

func (f *found) line(line []byte, long bool) ([][]member, error) {
	if long {
		return nil, fmt.Errorf("is longer than %d bytes", source.MaxLine)
	}
	all, err := object(line)
	if err != nil {
		return nil, err
	}
	return f.rowsOf(all)
}
