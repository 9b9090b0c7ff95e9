// Package file writes and reads the columns of a frame as text, Parquet and Arrow.
package file

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/internal/atomicfile"
	"github.com/bonnetbook/bonnetbook/internal/pathname"
	"github.com/bonnetbook/bonnetbook/pkg/frame/internal/vector"
)

// WriteCSV writes columns of equal length as [frame.Frame.WriteCSV] says. It
// fails where the file exists or can't be written.
func WriteCSV(path string, columns []*vector.Column, rows int) error {
	return atomicfile.Create(pathname.Expand(path), 0o644, func(out io.Writer) error {
		w := csv.NewWriter(out)
		row := make([]string, len(columns))
		for k, c := range columns {
			row[k] = header(c)
		}
		if err := w.Write(row); err != nil {
			return err
		}
		for i := range rows {
			for k, c := range columns {
				row[k] = plain(c, i)
			}
			if err := w.Write(row); err != nil {
				return err
			}
		}
		w.Flush()
		return w.Error()
	})
}

func header(c *vector.Column) string {
	if u := vector.Written(c.Unit); c.Kind == vector.Number && u != "" {
		return c.Name + " (" + u + ")"
	}
	return c.Name
}

// plain writes a value for another program.
func plain(c *vector.Column, row int) string {
	switch {
	case !c.Has(row):
		return ""
	case c.Kind == vector.Instant:
		return c.At[row].Format(time.RFC3339Nano)
	case c.Kind == vector.Text:
		s, _ := c.Text(row)
		if s != "" && strings.ContainsRune("=+-@\t\r\n'", rune(s[0])) {
			return "'" + s // OWASP, "CSV Injection"; ReadCSV takes it away again
		}
		return s
	}
	return strconv.FormatFloat(c.Unit.FromSI(c.Num[row]), 'g', -1, 64)
}

// ReadCSV reads columns as [frame.ReadCSV] says, which also says when it fails.
func ReadCSV(path string) (columns []*vector.Column, notes []string, err error) {
	file, err := open(path)
	if err != nil {
		return nil, nil, err
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", path, err)
	}
	if len(rows) == 0 {
		return nil, nil, fmt.Errorf("%s: the file is empty; its first line must name the columns", path)
	}
	for k, header := range rows[0] {
		cells := make([]string, 0, len(rows)-1)
		for _, row := range rows[1:] {
			cells = append(cells, row[k])
		}
		c, note, err := columnOf(strings.TrimPrefix(header, "\ufeff"), cells)
		if err != nil {
			return nil, nil, fmt.Errorf("%s, column %d: %w", path, k+1, err)
		}
		columns = append(columns, c)
		if note != "" {
			notes = append(notes, note)
		}
	}
	return columns, notes, nil
}

// columnOf makes a column of the cells of a text file.
func columnOf(header string, cells []string) (c *vector.Column, note string, err error) {
	v, bad := numbersIn(cells)
	if bad == 0 {
		name, unit := vector.SplitHeader(header)
		u, assumed, err := vector.UnitOf(unit)
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
		return vector.Numbers(name, u, v), note, nil
	}
	if at, ok := instantsIn(cells); ok {
		return vector.Instants(header, at), "", nil
	}
	if bad <= len(cells)/20 {
		note = fmt.Sprintf("%s: read as text because of %s that are no numbers", header, vector.Count(bad, "cell"))
	}
	present := slices.Clone(cells)
	for i, s := range present {
		present[i] = strings.TrimPrefix(s, "'")
	}
	return vector.Texts(header, present, func(i int) bool { return cells[i] != "" }), note, nil
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
