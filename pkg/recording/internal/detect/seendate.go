package detect

import (
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/parse"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// A seenDate is a date of the file as written, with the line of its first
// appearance in a row.
type seenDate struct {
	parts parse.DateParts
	line  int
	text  string
}

func (s seenDate) days(o layout.DateOrder) (int64, bool) {
	y, m, d, ok := s.parts.Civil(o)
	return parse.DaysSinceEpoch(y, m, d), ok
}

// appendDate adds the date of a row, if it is another than the last.
func appendDate(dates []seenDate, cell []byte, line int) []seenDate {
	if cell == nil || (len(dates) > 0 && dates[len(dates)-1].text == string(cell)) {
		return dates
	}
	p, n, ok := parse.SplitDate(cell)
	if !ok || n != len(cell) || !parse.AnyOrder(p) {
		return dates
	}
	return append(dates, seenDate{p, line, string(cell)})
}
