package recording

import (
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/delimited"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/format"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/gpx"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/jsonlines"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/nmea"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/spreadsheet"
)

// The formats that are read, one line each. Text comes first, which is asked
// last and takes what no other does.
func init() {
	format.Register(delimited.Format)
	format.Register(spreadsheet.Format)
	format.Register(gpx.Format)
	format.Register(nmea.Format)
	format.Register(jsonlines.Format)
}
