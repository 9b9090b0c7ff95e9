package recording

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
)

// Open reads a file of any supported kind.
//
// The error is an [*AmbiguousError] where the file can be read in two ways and
// an option has to settle it, otherwise a [*FileError] that says what was
// found and what to do.
func Open(path string, opts Options) (*Recording, error) {
	if err := opts.Layout.Check(); err != nil {
		return nil, fmt.Errorf("%s: layout: %w", path, err)
	}
	src, closeFile, err := openSource(path)
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
	src, err := readSource(name, r)
	if err != nil {
		return nil, err
	}
	return read(src, opts)
}

// read reads an opened file.
func read(src *source, opts Options) (*Recording, error) {
	f, err := formatOf(src, opts.Layout)
	if err != nil {
		return nil, err
	}
	t, err := f.read(src, request{opts.Layout, opts.Workers})
	if err != nil {
		return nil, err
	}
	layout := opts.Layout
	if layout.Date == "" {
		layout.Date = t.layout.Date // found in the preamble or the name
	}
	t.keepChoices(layout)
	r, err := finish(t, layout)
	if err != nil {
		return nil, err
	}
	if f.lines {
		if err := fillTexts(src, r.Account); err != nil && !errors.Is(err, fs.ErrClosed) {
			return nil, src.fail("can't be read again: "+err.Error(), "copy it again from the device", err)
		}
	}
	return r, nil
}

// keepChoices carries the layout's choices that no reader uses itself into the
// complete layout.
func (t *table) keepChoices(l Layout) {
	t.layout.Format = t.format
	t.layout.KeepFrozen, t.layout.KeepSpikes, t.layout.KeepCarried = l.KeepFrozen, l.KeepSpikes, l.KeepCarried
	t.layout.Zone, t.layout.Date, t.layout.WeekRollovers = l.Zone, l.Date, l.WeekRollovers
}
