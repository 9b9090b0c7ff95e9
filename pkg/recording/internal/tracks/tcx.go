package tracks

import (
	"encoding/xml"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/format"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// TCX is the training-centre XML that watches export.
var TCX = format.Format{Name: layout.TCX,
	Recognise: func(src *source.Source) bool { return within(src, "TrainingCenterDatabase") },
	Read: func(src *source.Source, how format.Request) (*table.Table, error) {
		return read(src, how, layout.TCX, &tcx{}, []string{latitude, longitude, altitude, distance, speed, heart, cadence})
	}}

// Names of columns, with the units of the schemas.
const (
	latitude  = "latitude (°)"
	longitude = "longitude (°)"
	altitude  = "altitude (m)"
	distance  = "distance (m)"
	speed     = "speed (m/s)"
	heart     = "heart rate"
	cadence   = "cadence"
)

// tcx collects the elements Trackpoint: Time, Position with LatitudeDegrees and
// LongitudeDegrees, AltitudeMeters, DistanceMeters, and Speed in m/s in an
// extension.
type tcx struct {
	points
	now point
}

func (c *tcx) start(name string, _ []xml.Attr) {
	if name == "trackpoint" {
		c.now = point{cells: map[string]string{}}
	}
}

func (c *tcx) end(path []string, name, text string, line int) {
	if name == "trackpoint" {
		c.now.line = line
		c.points = append(c.points, c.now)
		return
	}
	if !slices.Contains(path, "trackpoint") {
		return
	}
	switch name {
	case "time":
		c.now.time = text
	case "latitudedegrees":
		c.now.cells[latitude] = text
	case "longitudedegrees":
		c.now.cells[longitude] = text
	case "altitudemeters":
		c.now.cells[altitude] = text
	case "distancemeters":
		c.now.cells[distance] = text
	case "speed":
		c.now.cells[speed] = text
	case "cadence", "runcadence":
		c.now.cells[cadence] = text
	case "value":
		if path[len(path)-1] == "heartratebpm" {
			c.now.cells[heart] = text
		}
	}
}
