package spreadsheet

import (
	"math"
	"slices"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/parse"
)

// dateKind says how the day numbers of a column are shown.
type dateKind int

const (
	notDate dateKind = iota
	dateAndTime
	dateOnly
	timeOnly
	percent
)

// look is the number of rows by which columns of dates are told.
const look = 300

// columnKinds counts how the cells of one column are shown.
type columnKinds struct{ dates, whole, small, percents int }

// see takes one cell as it is shown and stored.
func (k *columnKinds) see(shown, stored string) {
	v, ok := parse.Number([]byte(stored), '.')
	if ok && strings.HasSuffix(shown, "%") && !strings.HasSuffix(stored, "%") {
		k.percents++
	}
	if !ok || v < 0 || shown == stored || !strings.ContainsAny(shown, ":/-.") || strings.HasPrefix(shown, "-") {
		return
	}
	if c := cell.Classify([]byte(shown), '.'); c != cell.Date && c != cell.Clock && c != cell.Stamp && !strings.Contains(shown, ":") {
		return
	}
	k.dates++
	if v == math.Trunc(v) {
		k.whole++
	}
	if v < 1 {
		k.small++
	}
}

// kind says how the column is shown.
func (k columnKinds) kind() dateKind {
	switch {
	case k.percents > 0:
		return percent
	case k.dates == 0:
		return notDate
	case k.dates == k.small:
		return timeOnly
	case k.dates == k.whole:
		return dateOnly
	}
	return dateAndTime
}

// dateColumns finds the columns whose numbers are shown as dates or times.
func dateColumns(book *workbook, sheet string) ([]dateKind, error) {
	shown, err := firstRows(book, sheet, false)
	if err != nil {
		return nil, err
	}
	stored, err := firstRows(book, sheet, true)
	if err != nil {
		return nil, err
	}
	var columns []columnKinds
	for r := range min(len(shown), len(stored)) {
		for c := range min(len(shown[r]), len(stored[r])) {
			for len(columns) <= c {
				columns = append(columns, columnKinds{})
			}
			columns[c].see(shown[r][c], stored[r][c])
		}
	}
	kinds := make([]dateKind, len(columns))
	for i, k := range columns {
		kinds[i] = k.kind()
	}
	return kinds, nil
}

// firstRows returns the first rows of a sheet, as stored or as shown.
func firstRows(book *workbook, sheet string, stored bool) ([][]string, error) {
	var rows [][]string
	left := maxCells
	err := eachRow(book, sheet, stored, &left, func(c []string) error {
		if rows = append(rows, slices.Clone(c)); len(rows) == look {
			return errEnough
		}
		return nil
	})
	return rows, err
}

// dayNumber writes a day number as date and time, to the millisecond.
func dayNumber(v float64, shift int64, kind dateKind) string {
	ms := int64(math.Round(v * 86400e3))
	t := time.Unix((shift-25569)*86400, 0).UTC().Add(time.Duration(ms) * time.Millisecond)
	switch kind {
	case timeOnly:
		return t.Format("15:04:05.000")
	case dateOnly:
		return t.Format("2006-01-02")
	}
	return t.Format("2006-01-02 15:04:05.000")
}
