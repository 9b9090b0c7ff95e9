package detect

import (
	"bytes"
	"fmt"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/heading"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/parse"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// startWords stand in a preamble before the instant from which a file of
// elapsed times counts.
var startWords = []string{"start", "started", "begin", "began", "beginn", "startzeit", "début", "debut", "inicio", "inizio", "first", "erste", "erster", "messbeginn", "startzeitpunkt"}

// findStart takes the instant from which elapsed times count from the preamble,
// where a line there says "start" with a date and a time of day. It asks where
// the date can be read in two ways.
func (d *detector) findStart() error {
	c := &d.clock
	if c.Format == "" || c.Format.Dated() || c.Format == layout.TimeOfDay || d.Layout.Date != "" {
		return nil
	}
	for _, l := range d.Sample.Lines[:d.First] {
		if !slices.ContainsFunc(heading.Words(string(l.Text)), func(w string) bool { return slices.Contains(startWords, w) }) {
			continue
		}
		date, seconds, ok := stampWithin(l.Text)
		if !ok {
			continue
		}
		orders := date.parts.ValidOrders()
		if d.Layout.DateOrder != "" && slices.Contains(orders, d.Layout.DateOrder) {
			orders = []layout.DateOrder{d.Layout.DateOrder}
		}
		date.line = l.Number
		if !date.sameIn(orders) {
			return d.ambiguousOrder([]seenDate{date})
		}
		days, ok := date.days(orders[0])
		if !ok {
			continue
		}
		d.start, c.Order = days*86400+seconds, orders[0]
		d.Note("start", fmt.Sprintf("line %d", l.Number), "the preamble says from when the times count")
		return nil
	}
	return nil
}

// sameIn reports whether the date is the same day in all of the orders: a year
// of four digits says where it is.
func (s seenDate) sameIn(orders []layout.DateOrder) bool {
	first, ok := s.days(orders[0])
	return ok && !slices.ContainsFunc(orders[1:], func(o layout.DateOrder) bool {
		other, ok := s.days(o)
		return !ok || other != first
	})
}

// stampWithin finds a date with a time of day behind it in a line.
func stampWithin(line []byte) (date seenDate, seconds int64, ok bool) {
	for i := range line {
		if i > 0 && (line[i-1]-'0' <= 9 || line[i-1]|0x20 >= 'a' && line[i-1] < 0x80) {
			continue
		}
		p, n, ok := parse.SplitDate(line[i:])
		if !ok || !parse.AnyOrder(p) || i+n >= len(line) {
			continue
		}
		rest := bytes.Trim(line[i+n:], " \t\r;,\"T")
		if k, ok := parse.Clock(rest, true); ok {
			return seenDate{parts: p, text: string(line[i : i+n])}, int64(k.Seconds), true
		}
	}
	return seenDate{}, 0, false
}
