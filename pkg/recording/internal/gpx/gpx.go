// Package gpx reads tracks in the GPS exchange format, versions 1.0 and 1.1.
package gpx

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"

	"golang.org/x/text/encoding/charmap"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/format"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/unit"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/words"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

var columns = []table.Head{
	{Name: "latitude", Content: layout.HoldsLatitude, Unit: unit.Degree, Reason: "GPX schema"},
	{Name: "longitude", Content: layout.HoldsLongitude, Unit: unit.Degree, Reason: "GPX schema"},
	{Name: "altitude", Content: layout.HoldsLength, Unit: unit.Metre, Reason: "GPX schema"},
	{Name: "speed", Content: layout.HoldsSpeed, Unit: unit.MetrePerS, Reason: "GPX schema"},
	{Name: "course", Content: layout.HoldsAngle, Unit: unit.Degree, Reason: "GPX schema"},
	{Name: "air temperature", Content: layout.HoldsTemperature, Unit: unit.Celsius, Reason: "extension atemp, °C"},
}

// Format is GPX.
var Format = format.Format{Name: layout.GPX, Recognise: beginsLikeXML, Read: read}

func beginsLikeXML(src *source.Source) bool {
	head := src.Beginning(2048)
	return bytes.HasPrefix(head, []byte("<?xml")) || bytes.HasPrefix(head, []byte("<!")) ||
		bytes.HasPrefix(head, []byte("<")) && bytes.Contains(head, []byte("<gpx"))
}

func read(src *source.Source, _ format.Request) (*table.Table, error) {
	src.UseMark() // UTF-16 is decoded beforehand; other encodings are named in the file
	g := &reader{zoneOK: true, t: &table.Table{File: src.Path, Format: layout.GPX, Times: layout.Stamp, Zone: true, Account: &account.Account{Unit: "track points"}}}
	for i, c := range columns {
		c.Number = i + 1
		g.t.Columns = append(g.t.Columns, table.Column{Head: c})
	}
	d := xml.NewDecoder(src.Reader(0))
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
			if refused := new(account.FileError); errors.As(err, &refused) {
				refused.File, refused.Line = src.Path, line
				return nil, refused
			}
			if len(g.t.Time)+len(g.t.Account.Rejects) == 0 {
				return nil, &account.FileError{File: src.Path, Line: line, Found: "is not well-formed XML: " + err.Error(), Do: "export the track again", Err: err}
			}
			// Cut or damaged: what came before is good.
			g.t.Warnings.Add(estimate.LostReadings, g.t.Name(), fmt.Sprintf("line %d: the file is damaged or cut from here on (%v); the points before are kept", line, err))
			g.t.Account.Changes = append(g.t.Account.Changes, account.Change{Line: line, What: "file cut or damaged from here on: " + err.Error()})
			break
		}
	}
	return g.t, g.check(src)
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

// check reports a file without a usable track, and drops columns that no point
// has.
func (g *reader) check(src *source.Source) error {
	t := g.t
	a := t.Account
	switch {
	case !g.isGPX:
		return src.Fail("is XML, but not a GPX file (it has no gpx element)", "export the track as GPX", account.ErrNotText)
	case a.Lines == a.Other && a.Other > 0:
		return src.Fail(fmt.Sprintf("has %s but no track", words.Plural(a.Other, "waypoint or route point")), "export the recorded track (trk), not a route or waypoints", account.ErrNoData)
	case a.Lines == 0:
		return src.Fail("is a GPX file without any track point", "export the recorded track again", account.ErrNoData)
	case len(t.Time) == 0:
		return src.Fail(fmt.Sprintf("has %s, none of which can be used: %s", words.Plural(len(a.Rejects), "track point"), a.Rejects[0].Reason),
			"export the track with times; a track drawn on a map has none", account.ErrNoTime)
	}
	kept := t.Columns[:0]
	for i, c := range t.Columns {
		if i < 2 || c.Present() > 0 {
			if n := len(c.Values) - c.Present(); n > 0 {
				c.Tallies = append(c.Tallies, table.Tally{Reason: table.MissEmpty, Cells: n - c.Tallies.Total(), Line: t.Lines.Of(c.FirstMissing())})
			}
			kept = append(kept, c)
		}
	}
	t.Columns = kept
	t.Zone = g.zoneOK
	t.Note("format", "GPX", "")
	return nil
}
