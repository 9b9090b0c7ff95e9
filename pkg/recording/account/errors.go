package account

import (
	"errors"
	"fmt"
	"strings"
)

// Errors that Open wraps, for errors.Is.
var (
	ErrEmpty       = errors.New("nothing to read")
	ErrNotText     = errors.New("not a recording")
	ErrNoTime      = errors.New("no times")
	ErrNoData      = errors.New("no values")
	ErrOpenCircuit = errors.New("every channel is open-circuit")
	ErrLimit       = errors.New("larger than allowed")
)

// FileError is an error about one file. It says what was found, and what the
// person with the file can do.
type FileError struct {
	File string
	Line int // 0 where it is about the whole file
	// Found says what the file holds.
	Found string
	// Do says what to do about it.
	Do string
	// Err is the sentinel, such as ErrEmpty, or the cause.
	Err error
}

// Error returns "file:line: what was found; what to do".
func (e *FileError) Error() string {
	where := e.File
	if e.Line > 0 {
		where = fmt.Sprintf("%s:%d", e.File, e.Line)
	}
	s := where + ": " + e.Found
	if e.Do != "" {
		s += "; " + e.Do
	}
	return s
}

// Unwrap returns the cause.
func (e *FileError) Unwrap() error { return e.Err }

// Reading is one of several ways to read a file.
type Reading struct {
	Meaning string // "day first: 3 April 2025"
	Setting string // `date_order = "dmy"`
}

// AmbiguousError says that a file can be read in more than one way and that
// nothing in it decides. Setting one of the options settles it.
type AmbiguousError struct {
	File     string
	Line     int
	What     string // what can't be decided: `order of day and month in "03/04/2025"`
	Readings []Reading
}

// Error names the readings and the setting that settles each.
func (e *AmbiguousError) Error() string {
	var ways []string
	for _, r := range e.Readings {
		ways = append(ways, fmt.Sprintf("%s (set %s)", r.Meaning, r.Setting))
	}
	where := e.File
	if e.Line > 0 {
		where = fmt.Sprintf("%s:%d", e.File, e.Line)
	}
	return fmt.Sprintf("%s: can't tell the %s: %s; put the right setting into the layout", where, e.What, strings.Join(ways, ", or "))
}
