package document

import (
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// LookClock is how a device's clock stands to the drive's, and what it showed
// when the thermostat opened.
type LookClock struct {
	Device    string  `json:"device"`
	File      string  `json:"file"`
	Reference bool    `json:"reference"` // it is the drive's clock
	Told      bool    `json:"told"`      // else its times are taken as written
	Method    string  `json:"method"`
	Via       *string `json:"via"` // the device that it was compared with, where that is not the only other
	// Added to the device's times: at the middle of its file or near it.
	OffsetS   Number   `json:"offset_s"`
	LowS      Number   `json:"low_s"`
	HighS     Number   `json:"high_s"`
	DriftSDay Number   `json:"drift_s_per_day"`
	Also      []Number `json:"also_possible_s"`
	// OpeningAt is the stamp in the device's own file, without a zone; null where
	// nothing opened or the file has no dates.
	OpeningAt *string `json:"opening_at"`
}

// stamp is how a clock's reading is written.
const stamp = "2006-01-02 15:04:05"

// Zones are the time zones that the devices' clocks are set to, as the campaign
// has them, by device.
type Zones map[string]*time.Location

// ZonesOf takes the zones from what a drive is joined from.
func ZonesOf(r drive.Request) Zones {
	all := Zones{}
	for _, s := range r.Sources {
		if at, err := layout.Zone(s.Layout.Zone); err == nil {
			all[s.Device] = at
		}
	}
	return all
}

// clocksOf are a drive's clocks, and what they showed when the thermostat opened; a
// zero time where that is not known.
func clocksOf(d *drive.Drive, opened time.Time, zones Zones) []LookClock {
	all := []LookClock{}
	for _, c := range d.Clocks {
		r := c.Result
		k := LookClock{Device: c.Device, File: c.File, Reference: c.Reference, Told: c.Aligned(), Method: r.Method.String(), Via: told(r.Via),
			OffsetS: unknown, LowS: unknown, HighS: unknown, DriftSDay: unknown, Also: []Number{}}
		if c.Reference {
			k.Method, k.OffsetS, k.LowS, k.HighS = "the drive's clock", 0, 0, 0
		} else if k.Told {
			k.OffsetS, k.LowS, k.HighS = Number(r.Offset)+0, Number(r.Interval.From), Number(r.Interval.To)
		}
		if r.DriftEstimated || r.Drift != 0 {
			k.DriftSDay = Number(r.Drift * 86400)
		}
		for _, a := range r.Alternatives {
			k.Also = append(k.Also, Number(a.Offset))
		}
		if !opened.IsZero() && !c.Undated {
			at := r.Shown(opened).UTC()
			if zone := zones[c.Device]; zone != nil {
				at = at.In(zone)
			}
			k.OpeningAt = told(at.Round(time.Second).Format(stamp))
		}
		all = append(all, k)
	}
	return all
}

// openingText says what the devices' clocks showed at the opening.
func (l Look) openingText() string {
	var shown []string
	for _, c := range l.Clocks {
		if c.OpeningAt != nil {
			shown = append(shown, fmt.Sprintf("%s on the clock of %s", *c.OpeningAt, c.Device))
		}
	}
	return strings.Join(shown, ", ")
}

func (c LookClock) with() string {
	if c.Via == nil {
		return ""
	}
	return " with " + *c.Via
}

func clockTexts(w io.Writer, clocks []LookClock) {
	for _, c := range clocks {
		switch {
		case c.Reference:
			fmt.Fprintf(w, "  clock of %s: the drive's\n", c.Device)
		case !c.Told:
			fmt.Fprintf(w, "  clock of %s: not told, its times are taken as written\n", c.Device)
		case c.LowS.Known() && c.HighS.Known():
			fmt.Fprintf(w, "  clock of %s: %+.1f s are added (95 %%: %+.1f to %+.1f s), by %s%s\n", c.Device, float64(c.OffsetS), float64(c.LowS), float64(c.HighS), c.Method, c.with())
		default:
			fmt.Fprintf(w, "  clock of %s: %+.1f s are added, by %s\n", c.Device, float64(c.OffsetS), c.Method)
		}
	}
}
