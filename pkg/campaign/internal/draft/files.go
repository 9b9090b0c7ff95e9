package draft

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/campaign/internal/survey"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
)

// Assumed is the kind of a remark on what was taken without an answer.
const Assumed estimate.Kind = "assumed"

// FileDrive is a drive that was put together from files without a campaign.
type FileDrive struct {
	Request drive.Request
	// Assumed says what was taken without an answer: roles by their readings, an
	// order of dates.
	Assumed []estimate.Warning
	// DateOpen says that the date can be read in two ways.
	DateOpen bool
}

// FromFiles makes requests for [drive.Join] of files without a campaign, as a
// draft would group them; what a draft would ask is assumed and said. A file
// of several sessions gives several drives. It fails where none of the files
// can be read, and names those that can't beside the drives of the others.
func FromFiles(paths ...string) (drives []FileDrive, unread []string, err error) {
	files := survey.FilesAt(paths)
	for _, f := range files {
		if !f.Used {
			unread = append(unread, fmt.Sprintf("%s: %s", f.Path, f.Why))
		}
	}
	devices := survey.Devices(files)
	if len(devices) == 0 {
		return nil, unread, fmt.Errorf("none of the files can be looked at:\n  %s", strings.Join(unread, "\n  "))
	}
	survey.NameDevices(devices)
	for _, d := range devices {
		d.Units("", nil)
	}
	survey.ReadIn(devices, quantity.Preferred{})
	survey.Clocks(devices, nil)
	for _, d := range devices {
		d.Roles(nil)
	}
	survey.NumberIntakes(devices, 0)
	for i, g := range survey.Drives(devices) {
		name := fmt.Sprintf("drive %d", i+1)
		if !g.From.IsZero() {
			name = g.From.Add(localHours(devices)).Format("2006-01-02 15:04")
		}
		if len(files) == 1 && len(g.Pieces) == 1 && g.Pieces[0].Session == 0 {
			name = filepath.Base(files[0].Path)
		}
		drives = append(drives, fileDrive(name, g))
	}
	return drives, unread, nil
}

func fileDrive(name string, g survey.Drive) FileDrive {
	out := FileDrive{Request: drive.Request{Name: name, Cache: drive.CacheFolder()}}
	var done []*survey.Device
	for _, p := range g.Pieces {
		if slices.Contains(done, p.Device) {
			continue
		}
		done = append(done, p.Device)
		s := drive.Source{Device: p.Device.Name, Columns: columnsOf(p.Device)}
		for _, q := range g.Pieces {
			if q.Device == p.Device {
				s.Recordings = append(s.Recordings, q.Record)
			}
		}
		slices.SortStableFunc(s.Recordings, func(a, b *recording.Recording) int { return a.Start.Compare(b.Start) })
		out.Request.Sources = append(out.Request.Sources, s)
		for _, c := range p.Device.Columns {
			if c.Role == survey.Undecided && c.Guess != survey.Ignore {
				out.Assumed = append(out.Assumed, estimate.Warning{Kind: Assumed, Subject: p.Device.Name + ": " + c.Name,
					Text: fmt.Sprintf("nothing but its readings says what it is (%s); taken for %s", c.Remark, c.Guess)})
			}
		}
		for _, q := range p.Device.Open {
			out.DateOpen = out.DateOpen || q.Key == "date_order"
			out.Assumed = append(out.Assumed, estimate.Warning{Kind: Assumed, Subject: p.Device.Name, Text: "taken without an answer: " + q.Text})
		}
	}
	return out
}

// columnsOf gives roles as a draft proposes them, guesses too; a file that
// does not name a column is no reason to fail.
func columnsOf(d *survey.Device) []drive.Column {
	var all []drive.Column
	for _, spare := range []bool{false, true} {
		for _, c := range d.Columns {
			role := c.Likely()
			if c.AsTemperature || c.Spare != spare || role == survey.Ignore || role == "" {
				continue
			}
			all = append(all, drive.Column{Name: c.Name, Role: drive.Role(role)})
		}
	}
	return all
}
