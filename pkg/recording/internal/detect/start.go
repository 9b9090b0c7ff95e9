package detect

import (
	"fmt"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/dates"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/heading"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/parse"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// findStart takes the instant from which elapsed times count from the preamble,
// where a line there says "start" with a date and a time of day. It asks where
// the date can be read in two ways.
func (d *detector) findStart() error {
	c := &d.clock
	if c.Format == "" || c.Format.Dated() || c.Format == layout.TimeOfDay || d.Layout.Date != "" {
		return nil
	}
	for _, l := range d.Sample.Lines[:d.First] {
		if !heading.SaysStart(string(l.Text)) {
			continue
		}
		parts, n, seconds, ok := parse.StampWithin(l.Text)
		if !ok {
			continue
		}
		date := dates.Seen{Parts: parts, Line: l.Number, Written: n}
		orders := parts.ValidOrders()
		if d.Layout.DateOrder != "" && slices.Contains(orders, d.Layout.DateOrder) {
			orders = []layout.DateOrder{d.Layout.DateOrder}
		}
		if !date.SameIn(orders) {
			return d.ambiguousOrder([]dates.Seen{date})
		}
		days, ok := date.Days(orders[0])
		if !ok {
			continue
		}
		d.start, c.Order = days*86400+seconds, orders[0]
		d.Note("start", fmt.Sprintf("line %d", l.Number), "the preamble says from when the times count")
		return nil
	}
	return nil
}
