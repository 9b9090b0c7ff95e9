package nmea

import (
	"bytes"
	"fmt"
	"io"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/format"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// NMEA 0183 sentences that are read, by the last three letters of their name:
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
	{Name: "latitude", Content: layout.HoldsLatitude, Unit: layout.Degree, Reason: "NMEA 0183"},
	{Name: "longitude", Content: layout.HoldsLongitude, Unit: layout.Degree, Reason: "NMEA 0183"},
	{Name: "altitude", Content: layout.HoldsLength, Unit: layout.Metre, Reason: "NMEA 0183, GGA"},
	{Name: "speed", Content: layout.HoldsSpeed, Unit: layout.Knot, Reason: "NMEA 0183"},
	{Name: "course", Content: layout.HoldsAngle, Unit: layout.Degree, Reason: "NMEA 0183"},
}

// looksLikeNMEA reports whether most of the first lines are sentences.
func looksLikeNMEA(src *source.Source) bool {
	text, err := io.ReadAll(io.LimitReader(src.Reader(0), 16<<10))
	if err != nil {
		return false
	}
	lines, hits := 0, 0
	for _, l := range bytes.FieldsFunc(text, func(r rune) bool { return r == '\n' || r == '\r' }) {
		lines++
		if s := sentence(l); s != nil && bytes.Count(s, []byte(",")) >= 3 || bytes.HasPrefix(l, []byte("$P")) || bytes.HasPrefix(l, []byte("!")) {
			hits++
		}
	}
	return hits >= 2 && hits*2 > lines
}

// sentence returns the part of a line from its "$" on, if it begins like
// "$GPRMC,".
func sentence(line []byte) []byte {
	i := bytes.IndexByte(line, '$')
	if i < 0 || len(line)-i < 8 || i > 64 {
		return nil
	}
	s := line[i:]
	for _, c := range s[1:6] {
		if c &^= 0x20; c < 'A' || c > 'Z' { // some programs write small letters
			return nil
		}
	}
	if s[6] != ',' {
		return nil
	}
	return s
}

var Format = format.Format{Name: layout.NMEA, Lines: true, Recognise: looksLikeNMEA, Read: read}

func read(src *source.Source, _ format.Request) (*table.Table, error) {
	n := &reader{day: -1, kinds: map[string]int{}, t: &table.Table{File: src.Path, Format: layout.NMEA,
		Times: layout.Stamp, Zone: true, Account: &account.Account{Unit: "lines"}}}
	t := n.t
	for i, c := range columns {
		c.Number = i + 1
		t.Columns = append(t.Columns, table.Column{Head: c})
	}
	t.Layout = layout.Layout{Format: layout.NMEA, Encoding: src.Encoding}
	chunks := source.NewChunker(src.Reader(0), src.Cr, 1)
	for {
		ch, err := chunks.Next()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, src.Fail("can't be read to its end: "+err.Error(), "copy it again from the device", err)
		}
		if ch.Long {
			t.Account.Lines++
			n.reject(fmt.Sprintf("longer than %d bytes", source.MaxLine), ch.Data[:200])
		}
		for rest := ch.Data; len(rest) > 0 && !ch.Long; {
			line := rest
			ended := true
			if i := bytes.IndexByte(rest, '\n'); i >= 0 {
				line, rest = rest[:i], rest[i+1:]
			} else {
				rest, ended = nil, false
			}
			t.Account.Lines++
			n.line(bytes.TrimRight(line, "\r"), ended)
		}
		chunks.Free <- ch.Data
	}
	n.close()
	return t, n.finish(src)
}

func (n *reader) reject(reason string, line []byte) {
	n.t.Account.Rejects = append(n.t.Account.Rejects, account.Reject{Line: n.t.Account.Lines, Reason: reason, Text: cell.Excerpt(line)})
}

// line takes one line of the file.
func (n *reader) line(line []byte, ended bool) {
	a := n.t.Account
	if len(bytes.Trim(line, "\x00 \t\x1a")) == 0 {
		if bytes.IndexByte(line, 0) >= 0 {
			n.reject("NUL bytes, as a power cut leaves them", line)
		} else {
			a.Blank++
		}
		return
	}
	s := sentence(line)
	if s == nil {
		if !ended {
			n.reject("half-written last line, without a line end", line)
			return
		}
		a.Other++ // proprietary sentences, a logger's own lines
		return
	}
	sum := bytes.LastIndexByte(s, '*') >= 0
	if sum {
		n.sums++
	}
	body, ok := checkSum(s)
	if s[1] >= 'a' {
		if !ok {
			body, ok = checkSum(bytes.ToUpper(s))
		}
		body = bytes.ToUpper(body)
	}
	ok = ok && (ended || sum || n.sums == 0)
	if !ok {
		reason := "checksum does not fit"
		if !ended {
			reason = "half-written last line, without a line end"
		}
		n.reject(reason, line)
		return
	}
	f := bytes.Split(body, []byte(","))
	kind := string(f[0][3:6])
	n.kinds[kind]++
	reason := ""
	switch kind {
	case "RMC":
		reason = n.rmc(f)
	case "GGA":
		reason = n.gga(f)
	case "VTG":
		reason = n.vtg(f)
	case "ZDA":
		reason = n.zda(f)
	default:
		a.Other++
		return
	}
	if reason != "" {
		n.reject(reason, line)
	}
}

// checkSum cuts the checksum off a sentence and compares it: the exclusive or
// of all characters between "$" and "*", two hexadecimal digits. A sentence
// without one passes.
func checkSum(s []byte) ([]byte, bool) {
	i := bytes.LastIndexByte(s, '*')
	if i < 0 {
		return bytes.TrimRight(s, " "), true
	}
	tail := bytes.TrimRight(s[i+1:], " \x00")
	if len(tail) != 2 {
		return nil, false
	}
	var want byte
	for _, c := range tail {
		if c >= 'a' {
			c -= 'a' - 'A'
		}
		d := bytes.IndexByte([]byte("0123456789ABCDEF"), c)
		if d < 0 {
			return nil, false
		}
		want = want<<4 | byte(d)
	}
	var sum byte
	for _, c := range s[1:i] {
		sum ^= c
	}
	return s[:i], sum == want
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

// finish places what came before the first date, and reports a file without
// positions.
func (n *reader) finish(src *source.Source) error {
	t := n.t
	if len(n.undone) > 0 && len(t.Time) > 0 {
		n.placeUndone()
	} else if len(n.undone) > 0 {
		// No date at all: times of day.
		t.Times = layout.TimeOfDay
		n.day = 0
		for _, p := range n.undone {
			n.row(p.fix, p.clock, p.lines)
		}
		t.Warnings.Add(account.ClockDoubtful, t.File, "no sentence carries a date (RMC or ZDA): times of day only")
	}
	if len(t.Time) == 0 {
		found := fmt.Sprintf("has no position in its %d lines", t.Account.Lines)
		if len(t.Account.Rejects) > 0 {
			found += fmt.Sprintf("; %d lines rejected, the first: %s", len(t.Account.Rejects), t.Account.Rejects[0].Reason)
		}
		return src.Fail(found, "wait for a fix before the drive, and log RMC sentences", account.ErrNoData)
	}
	kept := t.Columns[:0]
	for i, c := range t.Columns {
		if i < 2 || c.Present() > 0 {
			kept = append(kept, c)
		}
	}
	t.Columns = kept
	t.Note("format", "NMEA 0183", fmt.Sprintf("%d RMC, %d GGA, %d VTG sentences", n.kinds["RMC"], n.kinds["GGA"], n.kinds["VTG"]))
	if n.early > 0 {
		t.Warnings.Add(account.ClockDoubtful, t.File, "dates before 2004: an old receiver's week number may have rolled over; if so, set week_rollovers = 1 (1024 weeks)")
	}
	return nil
}

// placeUndone puts instants before the first date on that date's day, or on
// the day before where the clock passed midnight in between.
func (n *reader) placeUndone() {
	t := n.t
	old := *t
	firstClock := math.Mod(old.Time[0], 86400)
	t.Time, t.Lines = nil, table.LineMap{}
	values := make([][]float64, len(t.Columns))
	for i := range t.Columns {
		values[i], t.Columns[i].Values = t.Columns[i].Values, nil
	}
	for _, p := range n.undone {
		at := p.clock
		if at-firstClock > 12*3600 {
			at -= 86400
		}
		row := len(t.Time)
		n.day = t.Base / 86400
		n.row(p.fix, at, p.lines)
		t.Lines.Add(row, p.lines[0])
	}
	offset := len(t.Time)
	t.Time = append(t.Time, old.Time...)
	for i := range t.Columns {
		t.Columns[i].Values = append(t.Columns[i].Values, values[i]...)
	}
	for r := range old.Time {
		t.Lines.Add(offset+r, old.Lines.Of(r))
	}
}
