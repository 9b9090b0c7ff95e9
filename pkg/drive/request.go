package drive

import (
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
	"github.com/bonnetbook/bonnetbook/pkg/sensor"
)

// Request says what one drive is made of.
type Request struct {
	Name          string
	Configuration string
	// Sources holds one entry for each device.
	Sources []Source
	// Intakes is how many intake probes make up the intake where they have the
	// roles "intake 1", "intake 2"; 0 takes those that the sources have.
	Intakes int
	// Units are those in which results are to be read; a zero unit takes that of
	// the files.
	Units quantity.Preferred
	// Clocks are the settings of the clock estimates; the zero value takes
	// [clock.DefaultOptions].
	Clocks clock.Options
	// Cache is the folder in which the clocks that are found are kept for the
	// next time, see [CacheFolder]; empty keeps nothing. What is kept is used for
	// the same readings by the same program only.
	Cache string
}

// Source is what one device recorded during the drive.
type Source struct {
	Device string
	// Recordings were read already, Files are read with Layout. All of them
	// continue one another, as where a device splits its file.
	Recordings []*recording.Recording
	Files      []string
	Layout     recording.Layout
	// Session takes one session of each recording, counted from 1 as
	// [recording.Recording.Sessions] lists them; 0 takes the whole.
	Session int
	// Shown stands for the files in texts; empty takes their paths.
	Shown string
	// Columns gives roles to columns; a column that is not named is not used.
	Columns []Column
	// Clock brings the device's times onto the drive's clock; nil estimates it.
	// It may be stated by the user ([clock.Stated]) or found from several
	// drives of the device; a zero Origin is the recording's start. A zero
	// Result says that the device's clock is the drive's.
	Clock *clock.Result
	// Sync holds the times, on this device's clock, of events that every
	// source with such a list has seen, in the same order. They are used where
	// Clock is nil. A time without a year belongs to the recording's first day.
	Sync []time.Time
}

// Column gives a role to a column of a recording.
type Column struct {
	// Name is the column's header, or its number: "2" is the second measured
	// channel, dates and times not counted; "column 4" is the fourth column of
	// the file.
	Name string
	Role Role // empty: the column is not used
	// Calibration corrects a temperature; the zero value changes nothing.
	Calibration sensor.Calibration
	Rank        int // of two columns with one role that of the smaller rank plays it
}
