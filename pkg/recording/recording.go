// Package recording reads the file of one device, whatever wrote it: a
// logger's text export, a spreadsheet (.xlsx, .xls, .ods, or a page of HTML), a
// phone's table of positions, JSON, an app's SQLite file, a track as GPX, KML,
// TCX or FIT, or NMEA sentences; also packed as .gz, .zip or .tar.
//
//	r, err := recording.Open("logger.csv", recording.Options{})
//
// [Read] takes an io.Reader instead, such as a file in an archive.
//
// Every line of the file is accounted for (see [Account]), every guess
// explains itself (see [Detection]) and can be overruled (see [Layout]). Where
// the file cannot decide, Open asks by returning an [*AmbiguousError]. These
// types stand in packages account and layout and have short names here.
//
// Values come out in SI units, a missing value is NaN, times ascend strictly.
// The package knows files and units; it knows no physics and no car.
package recording

import (
	"fmt"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Options says how to read a file. The zero value detects everything.
type Options struct {
	// Layout overrules detection, field by field; zero fields are detected.
	Layout Layout
	// Workers is the number of goroutines that parse a text file; 0 means one
	// for each processor. The result does not depend on it.
	Workers int
}

// DefaultOptions detects everything and uses every processor; it is the zero
// value.
func DefaultOptions() Options { return Options{} }

// Recording is what one device recorded into one file, or into several files
// after [Join].
type Recording struct {
	// File is the path as given to Open, or the name as given to Read.
	File string
	// Format is the kind of file.
	Format Format
	// Start is the instant that all times count from: the first row kept.
	// Without Dated it is that time of day on 1 January of year 1, or the zero
	// Time where the file counts elapsed seconds.
	Start time.Time
	// Dated says that Start carries a real date.
	Dated bool
	// ZoneKnown says that Start is a true instant. Without it the stamps are
	// some local time, which Start shows as if it were UTC.
	ZoneKnown bool
	// Columns are the measured channels in the order of the file; derived ones
	// come last. Their series all have the recording's Start.
	Columns []*Column
	// Parts are the stretches between restarts and clock jumps that the
	// columns join, in order. There is at least one.
	Parts []Part
	// Separate holds the stretches whose clock could not be brought onto this
	// one (a clock reset to its epoch, say), each with columns of its own.
	Separate []*Recording
	// Account says what became of every line.
	Account *Account
	// Detection says what was found and why it was read so.
	Detection Detection
	// Layout is the complete layout that the file was read with. Save it to
	// read more files of this kind without guessing.
	Layout Layout
	// Warnings says what to look at before trusting the values: of a column
	// by its name, or of the file. Their kinds are those of packages estimate
	// and account.
	Warnings []estimate.Warning
}

// Column is one channel of a recording.
type Column struct {
	// Name is the header's name without its unit, or "column 3".
	Name string
	// Number counts the file's columns from 1; 0 for a derived column.
	Number int
	// Dimension says what it measures; Dimensionless also where that is not
	// known, with values as they stand in the file.
	Dimension series.Dimension
	// UnitFound is the unit as the file writes it, empty if it writes none.
	UnitFound string
	// Unit is the unit that the file's numbers were read in, empty if unknown.
	Unit string
	// UnitReason says why: "header", "unit column", "layout" or the evidence.
	UnitReason string
	// Series holds the values in SI units.
	Series *series.Series
	// Derived is set where the values were not measured but computed from
	// other columns, such as a speed from positions.
	Derived bool
}

// Part is a stretch of a file without a restart or clock jump.
type Part struct {
	// Name says which part: "part 2 of drive.csv".
	Name string
	// FirstLine and LastLine are the line numbers of its first and last row.
	FirstLine, LastLine int
	// Rows is the number of rows kept.
	Rows int
	// Interval is what it covers on the recording's clock.
	Interval series.Interval
	// Shift is what was added to its stamps, in seconds, to join it.
	Shift float64
	// Reason says what separates it from the part before; empty for the first.
	Reason string
}

// Column returns the column with the given name, compared without regard to
// case. It fails where there is none, and lists the names there are.
func (r *Recording) Column(name string) (*Column, error) {
	for _, c := range r.Columns {
		if strings.EqualFold(c.Name, name) {
			return c, nil
		}
	}
	return nil, fmt.Errorf("%s has no column %q; it has %s", r.File, name, quotedNames(r.Columns))
}

// OfDimension returns the columns that measure d, in order.
func (r *Recording) OfDimension(d series.Dimension) []*Column {
	var found []*Column
	for _, c := range r.Columns {
		if c.Dimension == d {
			found = append(found, c)
		}
	}
	return found
}

// Rows returns the number of rows kept, without the separate recordings.
func (r *Recording) Rows() int {
	n := 0
	for _, p := range r.Parts {
		n += p.Rows
	}
	return n
}

// Interval returns the span that the parts cover.
func (r *Recording) Interval() series.Interval {
	if len(r.Parts) == 0 {
		return series.Interval{}
	}
	return series.Interval{From: r.Parts[0].Interval.From, To: r.Parts[len(r.Parts)-1].Interval.To}
}

// String describes the recording in a few lines.
func (r *Recording) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %d rows", r.File, r.Rows())
	if r.Dated {
		zone := "zone not known"
		if r.ZoneKnown {
			zone = "UTC"
		}
		fmt.Fprintf(&b, " from %s (%s)", r.Start.Format("2006-01-02 15:04:05"), zone)
	}
	fmt.Fprintf(&b, ", %.0f s\n", r.Interval().Duration())
	for _, c := range r.Columns {
		unit := c.Unit
		if unit == "" {
			unit = "unit not known"
		}
		fmt.Fprintf(&b, "  %s: %s, %d of %d present, read as %s\n", c.Name, c.Dimension, c.Series.Present(), c.Series.Len(), unit)
	}
	for _, w := range r.Warnings {
		fmt.Fprintf(&b, "  check: %s\n", w)
	}
	return b.String()
}

func quotedNames(columns []*Column) string {
	names := make([]string, len(columns))
	for i, c := range columns {
		names[i] = fmt.Sprintf("%q", c.Name)
	}
	return strings.Join(names, ", ")
}
