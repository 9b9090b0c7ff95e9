package spreadsheet

import (
	"math"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

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

// dateColumns finds the columns whose numbers are shown as dates or times.
func dateColumns(book *excelize.File, sheet string) ([]dateKind, error) {
	const look = 300
	var shown, stored [][]string
	for raw, into := range map[bool]*[][]string{false: &shown, true: &stored} {
		n := 0
		if err := eachRow(book, sheet, raw, func(c []string) {
			if n++; n <= look {
				*into = append(*into, c)
			}
		}); err != nil {
			return nil, err
		}
	}
	var kinds []dateKind
	seen, percents := map[int]int{}, map[int]int{}
	whole, small := map[int]int{}, map[int]int{}
	for r := range min(len(shown), len(stored)) {
		for c := range min(len(shown[r]), len(stored[r])) {
			v, ok := parse.Number([]byte(stored[r][c]), '.')
			s := shown[r][c]
			if ok && strings.HasSuffix(s, "%") && !strings.HasSuffix(stored[r][c], "%") {
				percents[c]++
			}
			if !ok || v < 0 || s == stored[r][c] || !strings.ContainsAny(s, ":/-.") || strings.HasPrefix(s, "-") {
				continue
			}
			if k := cell.Classify([]byte(s), '.'); k != cell.Date && k != cell.Clock && k != cell.Stamp && !strings.Contains(s, ":") {
				continue
			}
			seen[c]++
			if v == math.Trunc(v) {
				whole[c]++
			}
			if v < 1 {
				small[c]++
			}
		}
	}
	for c, n := range seen {
		for len(kinds) <= c {
			kinds = append(kinds, notDate)
		}
		switch n {
		case small[c]:
			kinds[c] = timeOnly
		case whole[c]:
			kinds[c] = dateOnly
		default:
			kinds[c] = dateAndTime
		}
	}
	for c := range percents {
		for len(kinds) <= c {
			kinds = append(kinds, notDate)
		}
		kinds[c] = percent
	}
	return kinds, nil
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
