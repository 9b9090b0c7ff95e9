package recording

import (
	"bytes"
	"fmt"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
)

// largestSplit is the size in bytes up to which a file is held in memory to be
// read in two parts.
const largestSplit = 256 << 20

// readApart reads a file in which a header with other columns begins on the
// way as two: what stands before it, and what follows as a separate recording.
// It returns nil where that can't be done; the rows below the other header are
// then rejected.
func readApart(src *source.Source, t *table.Table, opts Options) *Recording {
	if t.Format != Text || src.Size > largestSplit || len(t.Time) == 0 { // of others the rows are no lines of the file
		return nil
	}
	last := lastLine(t, t.Foreign)
	if last == 0 {
		return nil
	}
	first, rest := readParts(src, last, opts)
	if first == nil {
		return nil
	}
	begins := "a header with other columns"
	if slices.ContainsFunc(t.Account.Rejects, func(x account.Reject) bool { return x.Line > last }) && alikeNames(first, rest) {
		begins = "a part that is laid out in another way"
	}
	return apart(src, first, rest, last, fmt.Sprintf("line %d: %s begins here; what follows is kept apart as a recording of its own", t.Foreign, begins))
}

// mostPreamble is how many lines a logger writes before its names at most. Common
// practice, no source.
const mostPreamble = 12

// readBefore reads a file of text whose long preamble is another log, with other
// delimiters: two files that were put behind each other. It returns nil where
// the preamble holds no rows.
func readBefore(src *source.Source, t *table.Table, opts Options) *Recording {
	if t.Format != Text || t.Account.Header <= mostPreamble || opts.Layout.HeaderLines != nil || src.Size > largestSplit || len(t.Time) == 0 {
		return nil
	}
	for above := 1; above <= 3; above++ { // names, a row of units, a line between
		last := t.Lines.Of(0) - above - 1
		first, rest := readParts(src, last, opts)
		if first == nil || first.Rows() < mostPreamble-2 || len(rest.Columns) != len(t.Columns) || rest.Columns[0].Name != t.Columns[0].Name {
			continue
		}
		return apart(src, first, rest, last, fmt.Sprintf("line %d: another log begins here; it is kept apart as a recording of its own", last+1))
	}
	return nil
}

// readParts reads the lines up to one and those behind it on their own, nil where
// either can't be read.
func readParts(src *source.Source, last int, opts Options) (first, rest *Recording) {
	var parts [2]bytes.Buffer
	for l, err := range src.Lines() {
		if err != nil {
			return nil, nil
		}
		b := &parts[0]
		if l.Number > last {
			b = &parts[1]
		}
		b.Write(l.Text)
		if l.Ended {
			b.WriteByte('\n')
		}
	}
	if parts[0].Len() == 0 || parts[1].Len() == 0 { // the same again
		return nil, nil
	}
	if e := src.Encoding; e == UTF16LE || e == UTF16BE || e == GBK || e == ShiftJIS {
		opts.Layout.Encoding = UTF8 // as Lines gives it out
	} else {
		opts.Layout.Encoding = e
	}
	var read [2]*Recording
	for i := range parts {
		if i == 1 {
			opts.Layout.Columns = byName(opts.Layout.Columns)
		}
		r, err := Read(src.Path, bytes.NewReader(parts[i].Bytes()), opts)
		if err != nil {
			return nil, nil
		}
		read[i] = r
	}
	return read[0], read[1]
}

// apart puts what stands behind a line beside what stands before it, and says so.
func apart(src *source.Source, first, rest *Recording, last int, says string) *Recording {
	rest.moveLines(last, map[*Account]bool{})
	a, b := first.Account, rest.Account
	a.Lines, a.Read, a.Header, a.Blank, a.Other = a.Lines+b.Lines, a.Read+b.Read, a.Header+b.Header, a.Blank+b.Blank, a.Other+b.Other
	a.Rejects, a.Missing, a.Changes = append(a.Rejects, b.Rejects...), append(a.Missing, b.Missing...), append(a.Changes, b.Changes...)
	first.Separate = append(append(first.Separate, rest), rest.Separate...)
	rest.Separate = nil
	first.Warnings = append(append(first.Warnings, rest.Warnings...), estimate.Warning{Kind: account.OtherColumns, Subject: src.Name(), Text: says})
	first.Layout.Encoding, rest.Layout.Encoding = src.Encoding, src.Encoding
	return first
}

// alikeNames reports whether two recordings have columns of the same names.
func alikeNames(a, b *Recording) bool {
	return slices.EqualFunc(a.Columns, b.Columns, func(x, y *Column) bool { return x.Name == y.Name })
}

// otherTail returns the line from which on no row could be read, where many could
// be before: another session may be laid out in another way, with other stamps or
// delimiters. 0 where there is none.
func otherTail(t *table.Table) int {
	many := max(10, (len(t.Time)+49)/50)
	if len(t.Account.Rejects) < many {
		return 0
	}
	last, lost := lastLine(t, math.MaxInt), 0
	for _, x := range t.Account.Rejects {
		if x.Line > last {
			lost++
		}
	}
	if lost < many {
		return 0
	}
	return last + 1
}

// lastLine is the line of the last row that stands before the given line, 0 where
// there is none.
func lastLine(t *table.Table, before int) int {
	last := 0
	for r := range t.Time {
		if l := t.Lines.Of(r); l < before {
			last = max(last, l)
		}
	}
	return last
}

// byName returns what a layout says of columns for a table whose columns stand
// elsewhere: by their names, and by number only where there is none.
func byName(columns []ColumnLayout) []ColumnLayout {
	named := slices.Clone(columns)
	for i, c := range named {
		if c.Name != "" {
			named[i].Number = 0
		}
	}
	return named
}

// moveLines adds to the numbers of all lines; separate recordings may share an
// account, which is moved once.
func (r *Recording) moveLines(by int, moved map[*Account]bool) {
	for i := range r.Parts {
		r.Parts[i].FirstLine += by
		r.Parts[i].LastLine += by
	}
	for _, s := range r.Separate {
		s.moveLines(by, moved)
	}
	a := r.Account
	if moved[a] {
		return
	}
	moved[a] = true
	for i := range a.Rejects {
		a.Rejects[i].Line += by
	}
	for i := range a.Missing {
		a.Missing[i].FirstLine += by
	}
	for i := range a.Changes {
		if a.Changes[i].Line > 0 {
			a.Changes[i].Line += by
		}
	}
}
