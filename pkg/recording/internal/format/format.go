// Package format knows what a kind of file has to offer to be read, and which
// kinds there are. It reads none itself.
package format

import (
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/known"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Format is one kind of file. A new one is a folder that declares one of these
// and a line that registers it.
type Format struct {
	// Name is what a layout calls it.
	Name layout.Format
	// Lines says that the file is lines of text: its encoding is found before
	// Recognise is asked, and the account counts its lines.
	Lines bool
	// Recognise reports whether a file is probably of this format.
	Recognise func(*source.Source) bool
	// Read reads all rows. Every line, point or row of the file ends up in the
	// table's account. The error is an *account.FileError or
	// *account.AmbiguousError.
	Read func(*source.Source, Request) (*table.Table, error)
}

// Request says how to read a file.
type Request struct {
	Layout  layout.Layout
	Workers int // goroutines that parse; 0 means one for each processor
}

var registered []Format

// Register adds a format to those that are read. The latest is asked first
// whether a file is its own, those of lines after all others.
func Register(f Format) {
	known.Add(string(f.Name))
	registered = append(registered, f)
}

// Of returns the format that the layout names, or that the file is probably
// of. It fails where the format is one of lines and the file is no text, and
// where no format takes it.
func Of(src *source.Source, l layout.Layout) (Format, error) {
	if f, ok := choose(src, l.Format, false); ok {
		return f, nil
	}
	if err := src.CheckText(l.Encoding); err != nil {
		return Format{}, err
	}
	if f, ok := choose(src, l.Format, true); ok {
		return f, nil
	}
	return Format{}, src.Fail("is of no kind that is read here", "export the readings as .csv, .xlsx, .gpx or NMEA text", account.ErrNotText)
}

func choose(src *source.Source, name layout.Format, lines bool) (Format, bool) {
	for i := len(registered) - 1; i >= 0; i-- {
		if f := registered[i]; f.Lines == lines && (name == f.Name || name == "" && f.Recognise(src)) {
			return f, true
		}
	}
	return Format{}, false
}
