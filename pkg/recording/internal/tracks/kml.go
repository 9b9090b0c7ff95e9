package tracks

import (
	"encoding/xml"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/format"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// KML is the keyhole markup language, as far as it holds points with times:
// tracks, and placemarks with a TimeStamp and a Point.
var KML = format.Format{Name: layout.KML,
	Recognise: func(src *source.Source) bool { return within(src, "kml") },
	Read: func(src *source.Source, how format.Request) (*table.Table, error) {
		return read(src, how, layout.KML, &kml{}, append([]string{latitude, longitude, altitude}, dataNames...))
	}}

// kml collects points. In a Track the times come first, then the positions,
// then arrays of further data, each with as many entries.
type kml struct {
	points
	track int // index of the first point of the track
	when  int // of its entries so far
	coord int
	array string
	entry int
	place point // of the placemark
}

// dataNames are the names of arrays in extended data that are taken.
var dataNames = []string{speed, "speed", "temperature", "bearing", "accuracy", heart, cadence}

func (c *kml) start(name string, attributes []xml.Attr) {
	switch name {
	case "track":
		c.track, c.when, c.coord = len(c.points), 0, 0
	case "placemark":
		c.place = point{cells: map[string]string{}}
	case "simplearraydata":
		c.array, c.entry = "", 0
		for _, a := range attributes {
			if strings.EqualFold(a.Name.Local, "name") {
				c.array = arrayName(a.Value)
			}
		}
	}
}

// arrayName returns the name of a column for an array of data, empty for one
// that is not taken.
func arrayName(name string) string {
	n := strings.ToLower(strings.TrimSpace(name))
	switch {
	case strings.HasPrefix(n, "speed"):
		return "speed"
	case strings.HasPrefix(n, "temp"):
		return "temperature"
	case strings.HasPrefix(n, "heart"):
		return heart
	case slices.Contains(dataNames, n):
		return n
	}
	return ""
}

// at returns the n-th point of the track.
func (c *kml) at(n, line int) *point {
	for c.track+n >= len(c.points) {
		c.points = append(c.points, point{cells: map[string]string{}, line: line})
	}
	return &c.points[c.track+n]
}

// position takes longitude, latitude and, where it is there, altitude.
func position(cells map[string]string, f []string) {
	if len(f) < 2 {
		return
	}
	cells[longitude], cells[latitude] = f[0], f[1]
	if len(f) > 2 {
		cells[altitude] = f[2]
	}
}

func (c *kml) end(path []string, name, text string, line int) {
	inTrack := slices.Contains(path, "track")
	switch {
	case name == "when" && inTrack:
		c.at(c.when, line).time = text
		c.when++
	case name == "coord" && inTrack:
		position(c.at(c.coord, line).cells, strings.Fields(text))
		c.coord++
	case name == "value" && inTrack && slices.Contains(path, "simplearraydata"):
		if c.entry < len(c.points)-c.track && c.array != "" {
			c.points[c.track+c.entry].cells[c.array] = text
		}
		c.entry++
	case name == "when" && slices.Contains(path, "timestamp"):
		c.place.time = text
	case name == "coordinates" && slices.Contains(path, "point"):
		if c.place.cells != nil {
			position(c.place.cells, strings.Split(strings.TrimSpace(text), ","))
		}
	case name == "placemark" && c.place.cells[latitude] != "" && c.place.time != "":
		c.place.line = line
		c.points = append(c.points, c.place)
	}
}
