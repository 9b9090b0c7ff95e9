package recording

import (
	"fmt"
	"io"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/format"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
)

// Open reads a file of any supported kind.
//
// The error is an [*AmbiguousError] where the file can be read in two ways and
// an option has to settle it; a [*FileError] that says what was found and what
// to do where the file can't be read, is of no kind that is read here, or holds
// no times or no values; and one of [Layout.Check] where the layout is wrong.
func Open(path string, opts Options) (*Recording, error) {
	if err := opts.Layout.Check(); err != nil {
		return nil, fmt.Errorf("%s: layout: %w", path, err)
	}
	src, closeFile, err := source.Open(path)
	if err != nil {
		return nil, err
	}
	defer closeFile()
	return read(src, opts)
}

// Read reads a file of any supported kind from r, up to its end: a file, part
// of an archive, bytes in memory. The name stands for it in errors, in the
// account and as Recording.File; it may say the date (see Layout.Date).
//
// Where r can seek and read at any place, as files and bytes.Reader can, it is
// read in pieces; else it is held in memory, up to 1 GiB.
//
// The error is as that of [Open]; it wraps ErrLimit where more would have to
// be held.
func Read(name string, r io.Reader, opts Options) (*Recording, error) {
	if err := opts.Layout.Check(); err != nil {
		return nil, fmt.Errorf("%s: layout: %w", name, err)
	}
	src, err := source.Read(name, r)
	if err != nil {
		return nil, err
	}
	return read(src, opts)
}

// read reads an opened file.
func read(src *source.Source, opts Options) (*Recording, error) {
	f, err := format.Of(src, opts.Layout)
	if err != nil {
		return nil, err
	}
	t, err := f.Read(src, format.Request{Layout: opts.Layout, Workers: opts.Workers})
	if err != nil {
		return nil, err
	}
	if t.Foreign == 0 {
		t.Foreign = otherTail(t)
	}
	if t.Foreign > 0 {
		if r := readApart(src, t, opts); r != nil {
			return r, nil
		}
	}
	if r := readBefore(src, t, opts); r != nil {
		return r, nil
	}
	layout := opts.Layout
	if layout.Date == "" {
		layout.Date = t.Layout.Date // found in the preamble or the name
	}
	keepChoices(t, layout)
	r, err := finish(t, layout)
	if err != nil {
		return nil, err
	}
	warnOfUnset(r, src.Changed)
	if f.Lines {
		if err := source.FillTexts(src, r.Account); err != nil {
			return nil, err
		}
	}
	return r, nil
}

// keepChoices carries the layout's choices that no reader uses itself into the
// complete layout.
func keepChoices(t *table.Table, l Layout) {
	t.Layout.Format = t.Format
	t.Layout.KeepFrozen, t.Layout.KeepSpikes, t.Layout.KeepCarried = l.KeepFrozen, l.KeepSpikes, l.KeepCarried
	t.Layout.KeepSwaps = l.KeepSwaps
	t.Layout.Zone, t.Layout.Date, t.Layout.WeekRollovers = l.Zone, l.Date, l.WeekRollovers
}
