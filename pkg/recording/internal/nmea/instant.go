package nmea

import (
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/unit"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// reader collects instants. The sentences that are read, by the last three letters of their name:
//
//	RMC  time, status, position, speed in knots, course, date
//	GGA  time, position, fix quality, altitude above mean sea level in metres
//	VTG  course, speed in knots and km/h
//	ZDA  time, day, month, year
//
// A row is one instant: all sentences that carry the same time, and those
// without a time that follow them.
type reader struct {
	t      *table.Table
	day    int64 // of the last date, days since 1970; −1 before the first
	clock  float64
	open   bool
	fix    [5]float64 // latitude, longitude, altitude, speed, course, in SI
	hasRMC bool
	void   bool
	lines  []int // lines of the instant
	kinds  map[string]int
	undone []pending
	early  int // dates before 2004
	sums   int // sentences with a checksum
}

// pending is an instant seen before the first date.
type pending struct {
	fix   [5]float64
	clock float64
	lines []int
}

var columns = []table.Head{
	{Name: "latitude", Content: layout.HoldsLatitude, Unit: unit.Degree, Reason: "NMEA 0183"},
	{Name: "longitude", Content: layout.HoldsLongitude, Unit: unit.Degree, Reason: "NMEA 0183"},
	{Name: "altitude", Content: layout.HoldsLength, Unit: unit.Metre, Reason: "NMEA 0183, GGA"},
	{Name: "speed", Content: layout.HoldsSpeed, Unit: unit.Knot, Reason: "NMEA 0183"},
	{Name: "course", Content: layout.HoldsAngle, Unit: unit.Degree, Reason: "NMEA 0183"},
}

func (n *reader) reject(reason string, line []byte) {
	n.t.Account.Rejects = append(n.t.Account.Rejects, account.Reject{Line: n.t.Account.Lines, Reason: reason, Text: cell.Excerpt(line)})
}

// at opens the instant of a time of day, or stays in it.
func (n *reader) at(clock float64) {
	if n.open && clock == n.clock {
		return
	}
	n.close()
	nan := math.NaN()
	n.open, n.clock = true, clock
	n.fix = [5]float64{nan, nan, nan, nan, nan}
}

// close takes the open instant into the table.
func (n *reader) close() {
	if !n.open {
		return
	}
	n.open = false
	a := n.t.Account
	switch {
	case n.void || math.IsNaN(n.fix[0]):
		reason := "void fix: the receiver had no position"
		for _, l := range n.lines {
			a.Rejects = append(a.Rejects, account.Reject{Line: l, Reason: reason})
		}
	case n.day < 0:
		n.undone = append(n.undone, pending{n.fix, n.clock, n.lines})
	default:
		if !n.hasRMC && len(n.t.Time) > 0 {
			n.rollOver()
		}
		n.row(n.fix, n.clock, n.lines)
	}
	n.lines, n.hasRMC, n.void = nil, false, false
}

// rollOver counts a new day where sentences without a date pass midnight.
func (n *reader) rollOver() {
	last := n.t.Time[len(n.t.Time)-1]
	now := float64(n.day*86400-n.t.Base) + n.clock
	if last-now > 12*3600 {
		n.day++
	}
}

func (n *reader) row(fix [5]float64, clock float64, lines []int) {
	t := n.t
	if len(t.Time) == 0 {
		t.Base = n.day * 86400
	}
	row := len(t.Time)
	t.Time = append(t.Time, float64(n.day*86400-t.Base)+clock)
	t.Lines.Add(row, lines[0])
	t.Account.Read += len(lines)
	for i, v := range fix {
		c := &t.Columns[i]
		if math.IsNaN(v) {
			c.Tallies.Count("not in the sentences of this instant", nil, lines[0])
		} else if !table.Measurable(c.Content, v) {
			v = math.NaN()
			c.Tallies.Count(table.MissRange, nil, lines[0])
		}
		c.Values = append(c.Values, v)
	}
}

func (n *reader) seen() { n.lines = append(n.lines, n.t.Account.Lines) }
