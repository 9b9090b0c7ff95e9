package recording

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"golang.org/x/text/encoding/charmap"
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

// gpxReader collects track points. The schema: gpx/trk/trkseg/trkpt with the
// attributes lat and lon in degrees and the elements ele (m), time (UTC, ISO
// 8601), in version 1.0 speed (m/s) and course (°); extensions may hold speed
// and course too (topografix.com, GPX 1.0 and 1.1).
type gpxReader struct {
	t       *table
	path    []string
	point   trackPoint
	text    strings.Builder
	last    float64 // time of the point before, seconds after base
	isGPX   bool
	segment bool // the next point begins a segment
	zoneOK  bool
}

var gpxColumns = []head{
	{name: "latitude", content: HoldsLatitude, unit: degree, reason: "GPX schema"},
	{name: "longitude", content: HoldsLongitude, unit: degree, reason: "GPX schema"},
	{name: "altitude", content: HoldsLength, unit: metre, reason: "GPX schema"},
	{name: "speed", content: HoldsSpeed, unit: metrePerS, reason: "GPX schema"},
	{name: "course", content: HoldsAngle, unit: degree, reason: "GPX schema"},
	{name: "air temperature", content: HoldsTemperature, unit: celsius, reason: "extension atemp, °C"},
}

var gpxFormat = format{name: GPX, recognise: beginsLikeXML, read: readGPX}

func beginsLikeXML(src *source) bool {
	plain := bytes.ReplaceAll(src.head[:min(len(src.head), 2048)], []byte{0}, nil) // UTF-16 too
	plain = bytes.TrimLeft(plain, "\xef\xbb\xbf\xff\xfe \t\r\n")
	return bytes.HasPrefix(plain, []byte("<?xml")) || bytes.HasPrefix(plain, []byte("<!")) ||
		bytes.HasPrefix(plain, []byte("<")) && bytes.Contains(plain, []byte("<gpx"))
}

func readGPX(src *source, _ request) (*table, error) {
	text, err := gpxText(src)
	if err != nil {
		return nil, err
	}
	g := &gpxReader{zoneOK: true, t: &table{file: src.path, format: GPX, times: Stamp, zone: true, account: &Account{Unit: "track points"}}}
	for i, c := range gpxColumns {
		c.number = i + 1
		g.t.columns = append(g.t.columns, tableColumn{head: c})
	}
	d := xml.NewDecoder(text)
	d.CharsetReader = charsetReader
	for {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		if err == nil {
			err = g.take(token, d)
		}
		if err != nil {
			line, _ := d.InputPos()
			if refused := new(FileError); errors.As(err, &refused) {
				refused.File, refused.Line = src.path, line
				return nil, refused
			}
			if len(g.t.time)+len(g.t.account.Rejects) == 0 {
				return nil, &FileError{File: src.path, Line: line, Found: "is not well-formed XML: " + err.Error(), Do: "export the track again", Err: err}
			}
			// Cut or damaged: what came before is good.
			g.t.warnings.add(lostReadings, g.t.file, fmt.Sprintf("line %d: the file is damaged or cut from here on (%v); the points before are kept", line, err))
			g.t.account.Changes = append(g.t.account.Changes, Change{Line: line, What: "file cut or damaged from here on: " + err.Error()})
			break
		}
	}
	return g.t, g.check(src)
}

// gpxText decodes UTF-16 beforehand; other encodings are named in the file.
func gpxText(src *source) (io.Reader, error) {
	h := src.head
	switch {
	case bytes.HasPrefix(h, []byte("\xff\xfe")):
		src.encoding, src.bom = UTF16LE, 2
	case bytes.HasPrefix(h, []byte("\xfe\xff")):
		src.encoding, src.bom = UTF16BE, 2
	case bytes.HasPrefix(h, []byte("\xef\xbb\xbf")):
		src.encoding, src.bom = UTF8, 3
	default:
		src.encoding = UTF8
	}
	return src.reader(0), nil
}

func charsetReader(label string, in io.Reader) (io.Reader, error) {
	switch strings.ToLower(label) {
	case "utf-8", "utf8", "us-ascii", "ascii", "utf-16", "utf-16le", "utf-16be":
		return in, nil // UTF-16 was decoded before
	case "iso-8859-1", "latin1", "windows-1252":
		return charmap.Windows1252.NewDecoder().Reader(in), nil
	case "iso-8859-15":
		return charmap.ISO8859_15.NewDecoder().Reader(in), nil
	}
	return nil, fmt.Errorf("encoding %q is not read here", label)
}

func (g *gpxReader) take(token xml.Token, d *xml.Decoder) error {
	switch x := token.(type) {
	case xml.Directive:
		if up := bytes.ToUpper(x); bytes.HasPrefix(up, []byte("DOCTYPE")) {
			// GPX has no document type; entities could expand without bound or
			// name other files.
			return &FileError{Found: "declares a document type (DOCTYPE), which GPX does not have", Do: "export the track again; files with entities are refused", Err: ErrNotText}
		}
	case xml.StartElement:
		if len(g.path) >= maxXMLDepth {
			return &FileError{Found: fmt.Sprintf("nests elements more than %d deep", maxXMLDepth), Do: "export the track again", Err: ErrLimit}
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

func (g *gpxReader) inPoint() bool {
	for _, p := range g.path {
		if p == "trkpt" {
			return true
		}
	}
	return false
}

func (g *gpxReader) start(x xml.StartElement) {
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
			v, ok := parseNumber([]byte(strings.TrimSpace(a.Value)), '.')
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
		g.t.account.Other++
		g.t.account.Lines++
	}
}

func (g *gpxReader) end(d *xml.Decoder) error {
	name := g.path[len(g.path)-1]
	g.path = g.path[:len(g.path)-1]
	if name == "trkpt" {
		line, _ := d.InputPos()
		g.add(line)
		if g.t.account.Lines > maxPoints {
			return &FileError{Found: fmt.Sprintf("has more than %d points", maxPoints), Do: "split it", Err: ErrLimit}
		}
	}
	if !g.inPoint() {
		return nil
	}
	text := strings.TrimSpace(g.text.String())
	g.text.Reset()
	number := func(into *float64) {
		if v, ok := parseNumber([]byte(text), '.'); ok && !math.IsInf(v, 0) {
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
	date, clock, ok := splitStamp([]byte(s))
	if !ok {
		return time.Time{}, false
	}
	days, ok := parseDate(date, YearMonthDay)
	c, okClock := parseClock(clock, false)
	if !ok || !okClock {
		return time.Time{}, false
	}
	return time.Unix(days*86400+c.seconds-c.zone, c.nanos).UTC(), c.hasZone
}

// add takes the point that just ended into the table.
func (g *gpxReader) add(line int) {
	t, p := g.t, g.point
	t.account.Lines++
	reject := func(reason string) {
		t.account.Rejects = append(t.account.Rejects, Reject{line, reason, fmt.Sprintf("lat %g lon %g time %s", p.lat, p.lon, p.time.Format(time.RFC3339Nano))})
	}
	switch {
	case p.bad || math.IsNaN(p.lat) || math.IsNaN(p.lon):
		reject("number that can't be read")
		return
	case p.time.IsZero():
		reject("track point without a time")
		return
	}
	if len(t.time) == 0 {
		t.base = p.time.Unix()
	}
	g.zoneOK = g.zoneOK && p.zone
	row := len(t.time)
	if g.segment {
		g.segment = false
		t.breaks = append(t.breaks, row)
	}
	t.time = append(t.time, float64(p.time.Unix()-t.base)+float64(p.time.Nanosecond())/1e9)
	t.lines.add(row, line)
	t.account.Read++
	for i, v := range []float64{p.lat, p.lon, p.ele, p.speed, p.course, p.temp} {
		c := &t.columns[i]
		si := c.unit.si(v)
		if !math.IsNaN(v) && !measurable(c.content, si) {
			si = math.NaN()
			c.tallies.count(missRange, []byte(fmt.Sprintf("%.6g", v)), line)
		}
		c.values = append(c.values, si)
	}
}

// check reports a file without a usable track, and drops columns that no point
// has.
func (g *gpxReader) check(src *source) error {
	t := g.t
	a := t.account
	switch {
	case !g.isGPX:
		return src.fail("is XML, but not a GPX file (it has no gpx element)", "export the track as GPX", ErrNotText)
	case a.Lines == a.Other && a.Other > 0:
		return src.fail(fmt.Sprintf("has %s but no track", plural(a.Other, "waypoint or route point")), "export the recorded track (trk), not a route or waypoints", ErrNoData)
	case a.Lines == 0:
		return src.fail("is a GPX file without any track point", "export the recorded track again", ErrNoData)
	case len(t.time) == 0:
		return src.fail(fmt.Sprintf("has %s, none of which can be used: %s", plural(len(a.Rejects), "track point"), a.Rejects[0].Reason),
			"export the track with times; a track drawn on a map has none", ErrNoTime)
	}
	kept := t.columns[:0]
	for i, c := range t.columns {
		if i < 2 || c.present() > 0 {
			if n := len(c.values) - c.present(); n > 0 {
				c.tallies = append(c.tallies, tally{missEmpty, "", n - c.tallies.total(), t.lines.of(c.firstMissing())})
			}
			kept = append(kept, c)
		}
	}
	t.columns = kept
	t.zone = g.zoneOK
	t.note("format", "GPX", "")
	return nil
}

func (t tallies) total() int {
	n := 0
	for _, m := range t {
		n += m.cells
	}
	return n
}

func (c *tableColumn) firstMissing() int {
	for i, v := range c.values {
		if math.IsNaN(v) {
			return i
		}
	}
	return 0
}
