package gpx

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"math"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/parse"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Limits on a GPX file. A point takes some 100 bytes, a day at 10 Hz less than
// a million points.
const (
	maxXMLDepth = 64
	maxPoints   = 20_000_000
)

// trackPoint is what a trkpt element holds; NaN where it does not.
type trackPoint struct {
	lat, lon, ele, speed, course, temp float64
	time                               time.Time
	zone, bad                          bool // time carries a zone; something was not readable
}

// reader collects track points. The schema: gpx/trk/trkseg/trkpt with the
// attributes lat and lon in degrees and the elements ele (m), time (UTC, ISO
// 8601), in version 1.0 speed (m/s) and course (°); extensions may hold speed
// and course too (topografix.com, GPX 1.0 and 1.1).
type reader struct {
	t       *table.Table
	path    []string
	point   trackPoint
	text    strings.Builder
	isGPX   bool
	segment bool // the next point begins a segment
	zoneOK  bool
}

func (g *reader) take(token xml.Token, d *xml.Decoder) error {
	switch x := token.(type) {
	case xml.Directive:
		if up := bytes.ToUpper(x); bytes.HasPrefix(up, []byte("DOCTYPE")) {
			// GPX has no document type; entities could expand without bound or
			// name other files.
			return &account.FileError{Found: "declares a document type (DOCTYPE), which GPX does not have", Do: "export the track again; files with entities are refused", Err: account.ErrNotText}
		}
	case xml.StartElement:
		if len(g.path) >= maxXMLDepth {
			return &account.FileError{Found: fmt.Sprintf("nests elements more than %d deep", maxXMLDepth), Do: "export the track again", Err: account.ErrLimit}
		}
		g.start(x)
	case xml.CharData:
		if g.inPoint() && g.text.Len() < 256 {
			g.text.Write(x)
		}
	case xml.EndElement:
		return g.end(d)
	}
	return nil
}

func (g *reader) inPoint() bool {
	for _, p := range g.path {
		if p == "trkpt" {
			return true
		}
	}
	return false
}

func (g *reader) start(x xml.StartElement) {
	name := strings.ToLower(x.Name.Local)
	g.path = append(g.path, name)
	g.text.Reset()
	switch name {
	case "gpx":
		g.isGPX = true
	case "trkseg":
		g.segment = true
	case "trkpt":
		nan := math.NaN()
		g.point = trackPoint{nan, nan, nan, nan, nan, nan, time.Time{}, false, false}
		for _, a := range x.Attr {
			v, ok := parse.Number([]byte(strings.TrimSpace(a.Value)), '.')
			switch a.Name.Local {
			case "lat":
				g.point.lat = v
			case "lon":
				g.point.lon = v
			default:
				continue
			}
			g.point.bad = g.point.bad || !ok
		}
	case "wpt", "rtept":
		g.t.Account.Other++
		g.t.Account.Lines++
	}
}

func (g *reader) end(d *xml.Decoder) error {
	name := g.path[len(g.path)-1]
	g.path = g.path[:len(g.path)-1]
	if name == "trkpt" {
		line, _ := d.InputPos()
		g.add(line)
		if g.t.Account.Lines > maxPoints {
			return &account.FileError{Found: fmt.Sprintf("has more than %d points", maxPoints), Do: "split it", Err: account.ErrLimit}
		}
	}
	if !g.inPoint() {
		return nil
	}
	text := strings.TrimSpace(g.text.String())
	g.text.Reset()
	number := func(into *float64) {
		if v, ok := parse.Number([]byte(text), '.'); ok && !math.IsInf(v, 0) {
			*into = v
		} else if text != "" {
			g.point.bad = true
		}
	}
	direct := g.path[len(g.path)-1] == "trkpt" // extensions may use the same names for other things
	switch {
	case (name == "ele" || name == "time") && !direct:
		return nil
	}
	switch name {
	case "ele":
		number(&g.point.ele)
	case "speed":
		number(&g.point.speed)
	case "course", "bearing":
		number(&g.point.course)
	case "atemp":
		number(&g.point.temp)
	case "time":
		g.point.time, g.point.zone = parseISO(text)
	}
	return nil
}

// parseISO reads a time of XML Schema: 2020-12-18T06:15:50.5Z.
func parseISO(s string) (t time.Time, zone bool) {
	date, clock, ok := parse.SplitStamp([]byte(s))
	if !ok {
		return time.Time{}, false
	}
	days, ok := parse.Date(date, layout.YearMonthDay)
	c, okClock := parse.Clock(clock, false)
	if !ok || !okClock {
		return time.Time{}, false
	}
	return time.Unix(days*86400+c.Seconds-c.Zone, c.Nanos).UTC(), c.HasZone
}

// add takes the point that just ended into the table.
func (g *reader) add(line int) {
	t, p := g.t, g.point
	t.Account.Lines++
	reject := func(reason string) {
		t.Account.Rejects = append(t.Account.Rejects, account.Reject{Line: line, Reason: reason, Text: fmt.Sprintf("lat %g lon %g time %s", p.lat, p.lon, p.time.Format(time.RFC3339Nano))})
	}
	switch {
	case p.bad || math.IsNaN(p.lat) || math.IsNaN(p.lon):
		reject("number that can't be read")
		return
	case p.time.IsZero():
		reject("track point without a time")
		return
	}
	if len(t.Time) == 0 {
		t.Base = p.time.Unix()
	}
	g.zoneOK = g.zoneOK && p.zone
	row := len(t.Time)
	if g.segment {
		g.segment = false
		t.Breaks = append(t.Breaks, row)
	}
	t.Time = append(t.Time, float64(p.time.Unix()-t.Base)+float64(p.time.Nanosecond())/1e9)
	t.Lines.Add(row, line)
	t.Account.Read++
	for i, v := range []float64{p.lat, p.lon, p.ele, p.speed, p.course, p.temp} {
		c := &t.Columns[i]
		si := c.Unit.SI(v)
		if !math.IsNaN(v) && !table.Measurable(c.Content, si) {
			si = math.NaN()
			c.Tallies.Count(table.MissRange, []byte(fmt.Sprintf("%.6g", v)), line)
		}
		c.Values = append(c.Values, si)
	}
}
