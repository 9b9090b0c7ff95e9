package export

import (
	"bufio"
	"encoding/csv"
	"io"
	"math"
	"strconv"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/internal/atomicfile"
	"github.com/bonnetbook/bonnetbook/internal/pathname"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
)

// CSV writes the drive's channels on one time grid as a new text file:
// comma-separated, decimal point, UTF-8, the unit in each header, an empty
// cell for a missing value. Cells with a person's own words that a spreadsheet
// would run as a formula are neutralised by an apostrophe.
//
// It fails where the drive has no channel to write or lacks a named role, where
// the step is not possible, where the file exists already (it is left as it
// is), and where it can't be written; no incomplete file stays behind.
func CSV(d *drive.Drive, path string, opts Options) error {
	t, err := newTable(d, opts)
	if err != nil {
		return err
	}
	return atomicfile.Create(pathname.Expand(path), 0o644, func(w io.Writer) error {
		b := bufio.NewWriter(w)
		if err := t.writeRows(b); err != nil {
			return err
		}
		return b.Flush()
	})
}

func (t *table) writeRows(out io.Writer) error {
	w := csv.NewWriter(out)
	row := []string{"time", "elapsed (s)"}
	for _, c := range t.columns {
		row = append(row, c.name)
	}
	row = append(row, "drive", "configuration")
	if err := w.Write(row); err != nil {
		return err
	}
	name, configuration := harmless(t.drive.Name), harmless(t.drive.Configuration)
	for i, s := range t.times {
		row[0] = t.drive.Start.Add(time.Duration(math.Round(s*1e3)) * time.Millisecond).Format("2006-01-02T15:04:05.000Z07:00")
		row[1] = strconv.FormatFloat(s, 'f', 3, 64)
		for k, c := range t.columns {
			row[k+2] = number(c.values[i])
		}
		row[len(row)-2], row[len(row)-1] = name, configuration
		if err := w.Write(row); err != nil {
			return err
		}
	}
	w.Flush()
	return w.Error()
}

// number writes a value with all the digits that a cheap sensor can mean, or
// nothing.
func number(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return ""
	}
	return strconv.FormatFloat(x, 'g', 9, 64)
}

// harmless puts an apostrophe before text that a spreadsheet would take for a
// formula (OWASP, "CSV Injection": = + - @, tab, carriage return and line
// feed).
func harmless(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r\n", rune(s[0])) {
		return "'" + s
	}
	return s
}
