package recording

import (
	"bytes"
	"errors"
	"fmt"
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

// read reads an opened file.
func read(src *source, opts Options) (*Recording, error) {
	format := opts.Layout.Format
	if format == "" {
		format = guessFormat(src.head)
	}
	var t *table
	var err error
	switch format {
	case Spreadsheet:
		t, err = readSpreadsheet(src, opts)
	case GPX:
		t, err = readGPX(src, opts)
	default:
		if err := src.checkText(opts.Layout.Encoding); err != nil {
			return nil, err
		}
		if format == "" && looksLikeNMEA(src) {
			format = NMEA
		}
		if format == NMEA {
			t, err = readNMEA(src, opts)
		} else {
			t, err = readText(src, opts)
		}
	}
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
	if r.Format == Text || r.Format == NMEA {
		if err := fillTexts(src, r.Account); err != nil && !errors.Is(err, fs.ErrClosed) {
			return nil, src.fail("can't be read again: "+err.Error(), "copy it again from the device", err)
		}
	}
	return r, nil
}

// guessFormat tells formats by their first bytes; "" is some text.
func guessFormat(head []byte) Format {
	if bytes.HasPrefix(head, []byte("PK\x03\x04")) {
		return Spreadsheet
	}
	plain := bytes.ReplaceAll(head[:min(len(head), 2048)], []byte{0}, nil) // UTF-16 too
	plain = bytes.TrimLeft(plain, "\xef\xbb\xbf\xff\xfe \t\r\n")
	if bytes.HasPrefix(plain, []byte("<")) && (bytes.HasPrefix(plain, []byte("<?xml")) || bytes.Contains(plain, []byte("<gpx")) || bytes.HasPrefix(plain, []byte("<!"))) {
		return GPX
	}
	return ""
}

// keepChoices carries the layout's choices that no reader uses itself into the
// complete layout.
func (t *table) keepChoices(l Layout) {
	t.layout.Format = t.format
	t.layout.KeepFrozen, t.layout.KeepSpikes, t.layout.KeepCarried = l.KeepFrozen, l.KeepSpikes, l.KeepCarried
	t.layout.Zone, t.layout.Date, t.layout.WeekRollovers = l.Zone, l.Date, l.WeekRollovers
}
