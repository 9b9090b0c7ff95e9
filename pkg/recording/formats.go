package recording

import (
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/binarysheet"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/database"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/delimited"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/fitfile"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/format"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/gpx"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/htmltable"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/jsonlines"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/nmea"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/opendocument"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/spreadsheet"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/tracks"
)

// The formats that are read, one line each. Text comes first, which is asked
// last and takes what no other does.
func init() {
	format.Register(delimited.Format)
	format.Register(spreadsheet.Format)
	format.Register(gpx.Format)
	format.Register(nmea.Format)
	format.Register(jsonlines.Format)
	format.Register(jsonlines.Document)
	format.Register(htmltable.Format)
	format.Register(tracks.KML)
	format.Register(tracks.TCX)
	format.Register(fitfile.Format)
	format.Register(opendocument.Format)
	format.Register(binarysheet.Format)
	format.Register(database.Format)
}
