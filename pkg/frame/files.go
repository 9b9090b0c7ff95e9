package frame

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/arrowipc"
	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/file"
	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/record"
	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/vector"
)

// WriteCSV writes the frame as a new text file: UTF-8, comma-separated, decimal
// point, the unit behind each name ("intake (°C)", with the kind where the unit
// leaves it open: "rise (K, temperature difference)"), instants as RFC 3339, a
// missing value as an empty cell. Numbers keep all their digits, in the unit in
// which they are shown. A text that a spreadsheet would run as a formula gets
// an apostrophe before it.
//
// It fails where the frame holds an error, where the file exists already (it is
// left as it is), and where it can't be written; no incomplete file stays.
func (f *Frame) WriteCSV(path string) error {
	if f.err != nil {
		return f.err
	}
	return file.WriteCSV(path, f.columns, f.rows)
}

// ReadCSV reads a text file such as [Frame.WriteCSV] writes or a spreadsheet
// exports with commas and decimal points. A column whose cells are all numbers
// or empty is one of numbers, in the unit in brackets behind its name, a plain
// number without brackets; one of instants by RFC 3339 is one of instants;
// every other holds texts. An empty cell is missing. "(°C)" and "(°F)" are
// temperatures, which a note says; other units of several kinds are refused
// with the choice.
//
// It fails, naming the line or the column, where the file can't be read, a row
// has another number of cells than the header, a unit is ambiguous, a number is
// infinite, or two columns have the same name.
func ReadCSV(path string) (*Frame, error) {
	columns, notes, err := file.ReadCSV(path)
	if err != nil {
		return nil, err
	}
	return assembled(path, columns, notes)
}

// WriteParquet writes the frame as a new Parquet file: each column optional
// under its own name, numbers as doubles in the unit in which they are shown,
// instants in UTC to the microsecond, a missing value as null. Units and the
// order of the columns stand in the file's metadata.
//
// It fails as [Frame.WriteCSV] does.
func (f *Frame) WriteParquet(path string) error {
	if f.err != nil {
		return f.err
	}
	return file.WriteParquet(path, f.columns, f.rows)
}

// ReadParquet reads a Parquet file of plain columns: numbers (in the unit that
// the metadata of [Frame.WriteParquet] name, else plain), texts and instants.
// It fails where the file can't be read, a column is nested, repeated or of
// another type, or its unit is not known.
func ReadParquet(path string) (*Frame, error) {
	columns, order, err := file.ReadParquet(path)
	if err != nil {
		return nil, err
	}
	f, err := assembled(path, columns, nil)
	if err == nil && len(order) == len(columns) {
		f, err = f.Select(order...).Result()
	}
	return f, err
}

// ErrDamaged and ErrColumnType are what [ReadArrow] fails with.
var (
	ErrDamaged    = arrowipc.ErrDamaged
	ErrColumnType = arrowipc.ErrType
)

// WriteArrow writes the frame as a new Arrow file (IPC file format, not
// compressed): numbers as doubles in the unit in which they are shown, with
// "unit" and "quantity" in the field's metadata, texts by a dictionary, instants
// in UTC to the microsecond, a missing value as null. It fails as
// [Frame.WriteCSV] does.
func (f *Frame) WriteArrow(path string) error {
	if f.err != nil {
		return f.err
	}
	return file.WriteArrow(path, f.columns, f.rows)
}

// ReadArrow reads an Arrow file or stream of plain columns, compressed or not:
// numbers (a "unit" in the field's metadata is theirs), texts, truth values as
// texts, timestamps, dates and durations. Notes say what was assumed.
//
// It fails with [ErrDamaged] where the data are cut off or contradict
// themselves, with [ErrColumnType] where a column is of another type, and where
// the file can't be read or unpacks to more than 1 GB.
func ReadArrow(path string) (*Frame, error) {
	columns, notes, err := file.ReadArrow(path)
	if err != nil {
		return nil, err
	}
	return assembled(path, columns, notes)
}

// assembled makes a frame of columns that were read.
func assembled(from string, columns []*vector.Column, notes []string) (*Frame, error) {
	f := &Frame{notes: notes}
	for _, c := range columns {
		if err := f.add(c); err != nil {
			return nil, fmt.Errorf("%s: %w", from, err)
		}
	}
	return f, nil
}

// FromStructs makes a frame of a slice of structs: one row each, one column for
// each exported field whose type is a quantity, an estimate, a number, a text,
// a truth value, an instant or a span of time, or prints itself. A column's
// name is the field's in small words, "mean rise" for MeanRise, or what the tag
// `frame:"name (unit)"` says; plain numbers take their unit from there. A nil
// pointer, a zero instant and an unknown estimate are missing, and so is NaN.
//
// The frame holds an error where the value is no slice of structs, a unit is
// not known, the estimates of one field measure different things, or two
// columns have the same name. Fields of other types are left out, which the
// notes say.
func FromStructs(slice any) *Frame {
	columns, notes, err := record.From(slice)
	if err != nil {
		return failed("FromStructs", err)
	}
	f, err := assembled("FromStructs", columns, notes)
	if err != nil {
		return failed("FromStructs", err)
	}
	return f
}

// Structs fills a slice of structs, given by its pointer, with the rows: each
// exported field takes the column of its name as [FromStructs] has it. A
// quantity takes a column of its kind; a plain number takes the values in the
// unit of its tag, or as the column shows them. A missing number is NaN, a
// missing text "", a missing instant the zero time.
//
// It fails, and leaves the slice as it was, where into is no pointer to such a
// slice, a field has no column, or its type can't hold what the column has
// (whole numbers can't hold a missing one).
func (f *Frame) Structs(into any) error {
	if f.err != nil {
		return f.err
	}
	if err := record.Into(into, f.rows, f.column); err != nil {
		return fmt.Errorf("frame, Structs: %w", err)
	}
	return nil
}
