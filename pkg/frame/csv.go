package frame

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/internal/atomicfile"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
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
	return create(path, func(out io.Writer) error {
		b := bufio.NewWriter(out)
		w := csv.NewWriter(b)
		row := make([]string, len(f.columns))
		for k, c := range f.columns {
			row[k] = c.header()
		}
		if err := w.Write(row); err != nil {
			return err
		}
		for i := range f.rows {
			for k, c := range f.columns {
				row[k] = c.plain(i)
			}
			if err := w.Write(row); err != nil {
				return err
			}
		}
		w.Flush()
		if err := w.Error(); err != nil {
			return err
		}
		return b.Flush()
	})
}

// create makes a file, whole or not at all, that must not exist yet.
func create(path string, write func(io.Writer) error) error {
	err := atomicfile.Create(path, 0o644, write)
	switch {
	case errors.Is(err, fs.ErrExist):
		return fmt.Errorf("%s exists already and is left as it is; choose another name, or remove it first", path)
	case err != nil:
		return fmt.Errorf("writing %s: %w", path, err)
	}
	return nil
}

func (c *column) header() string {
	if u := written(c.unit); c.kind == Number && u != "" {
		return c.name + " (" + u + ")"
	}
	return c.name
}

// plain writes a value for another program.
func (c *column) plain(row int) string {
	switch {
	case !c.has(row):
		return ""
	case c.kind == Instant:
		return c.at[row].Format(time.RFC3339Nano)
	case c.kind == Text:
		s, _ := c.text(row)
		if s != "" && strings.ContainsRune("=+-@\t\r\n'", rune(s[0])) {
			return "'" + s // OWASP, "CSV Injection"; ReadCSV takes it away again
		}
		return s
	}
	return strconv.FormatFloat(c.unit.FromSI(c.num[row]), 'g', -1, 64)
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
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	r := csv.NewReader(bufio.NewReader(file))
	rows, err := r.ReadAll()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	if len(rows) == 0 {
		return nil, fmt.Errorf("%s: the file is empty; its first line must name the columns", path)
	}
	f := &Frame{rows: len(rows) - 1}
	for k, header := range rows[0] {
		cells := make([]string, 0, len(rows)-1)
		for _, row := range rows[1:] {
			cells = append(cells, row[k])
		}
		c, note, err := columnOf(strings.TrimPrefix(header, "\ufeff"), cells)
		if err == nil {
			err = f.add(c)
		}
		if err != nil {
			return nil, fmt.Errorf("%s, column %d: %w", path, k+1, err)
		}
		if note != "" {
			f.notes = append(f.notes, note)
		}
	}
	return f, nil
}

// columnOf makes a column of the cells of a text file.
func columnOf(header string, cells []string) (c *column, note string, err error) {
	if v, bad := numbersIn(cells); bad == 0 {
		name, unit := splitHeader(header)
		u, assumed, err := unitOf(unit)
		if err != nil {
			return nil, "", fmt.Errorf("%q: %w", header, err)
		}
		for i, x := range v {
			if math.IsInf(x, 0) {
				return nil, "", fmt.Errorf("%q: line %d: %q is no number", header, i+2, cells[i])
			}
			v[i] = u.ToSI(x)
		}
		if assumed {
			note = fmt.Sprintf("%s: %s read as a temperature, not as a difference", name, u.Symbol())
		}
		return numbers(name, u, v), note, nil
	}
	if at, ok := instantsIn(cells); ok {
		return instants(header, at), "", nil
	}
	if _, bad := numbersIn(cells); bad <= len(cells)/20 {
		note = fmt.Sprintf("%s: read as text because of %s that are no numbers", header, count(bad, "cell"))
	}
	present := slices.Clone(cells)
	for i, s := range present {
		present[i] = strings.TrimPrefix(s, "'")
	}
	return texts(header, present, func(i int) bool { return cells[i] != "" }), note, nil
}

// splitHeader takes the unit off a name: "intake (°C)".
func splitHeader(header string) (name, unit string) {
	header = strings.TrimSpace(header)
	if i := strings.LastIndex(header, " ("); i > 0 && strings.HasSuffix(header, ")") {
		if inner := header[i+2 : len(header)-1]; len(quantity.FindUnits(inner)) > 0 || strings.Contains(inner, ",") {
			return header[:i], inner
		}
	}
	return header, ""
}

// numbersIn reads cells as numbers, empty ones as missing, and counts those that
// are none.
func numbersIn(cells []string) (v []float64, bad int) {
	v = make([]float64, len(cells))
	for i, s := range cells {
		s = strings.TrimSpace(s)
		if v[i] = math.NaN(); s == "" {
			continue
		}
		x, err := strconv.ParseFloat(s, 64)
		if err != nil || math.IsNaN(x) {
			bad++
			continue
		}
		v[i] = x
	}
	return v, bad
}

func instantsIn(cells []string) (at []time.Time, ok bool) {
	at = make([]time.Time, len(cells))
	for i, s := range cells {
		if s == "" {
			continue
		}
		var err error
		if at[i], err = time.Parse(time.RFC3339Nano, s); err != nil {
			return nil, false
		}
		ok = true
	}
	return at, ok
}
