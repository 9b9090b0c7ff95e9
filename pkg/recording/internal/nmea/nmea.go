// Package nmea reads logs of NMEA 0183 sentences.
package nmea

import (
	"bytes"
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/format"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// looksLikeNMEA reports whether most of the first lines are sentences.
func looksLikeNMEA(src *source.Source) bool {
	text, err := src.First(16 << 10)
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

func read(src *source.Source, _ format.Request) (*table.Table, error) {
	n := &reader{day: -1, kinds: map[string]int{}, t: &table.Table{File: src.Path, Format: layout.NMEA,
		Times: layout.Stamp, Zone: true, Account: &account.Account{Unit: "lines"}}}
	t := n.t
	for i, c := range columns {
		c.Number = i + 1
		t.Columns = append(t.Columns, table.Column{Head: c})
	}
	t.Layout = layout.Layout{Format: layout.NMEA, Encoding: src.Encoding}
	for l, err := range src.Lines() {
		if err != nil {
			return nil, err
		}
		t.Account.Lines++
		if l.Long {
			n.reject(fmt.Sprintf("longer than %d bytes", source.MaxLine), l.Text[:200])
			continue
		}
		n.line(bytes.TrimRight(l.Text, "\r"), l.Ended)
	}
	n.close()
	return t, n.finish(src)
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
		t.Warnings.Add(estimate.ClockDoubtful, t.Name(), "no sentence carries a date (RMC or ZDA): times of day only")
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
		t.Warnings.Add(estimate.ClockDoubtful, t.Name(), "dates before 2004: an old receiver's week number may have rolled over; if so, set week_rollovers = 1 (1024 weeks)")
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

// Format is NMEA 0183.
var Format = format.Format{Name: layout.NMEA, Lines: true, Recognise: looksLikeNMEA, Read: read}
