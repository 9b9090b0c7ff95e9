package drive

import (
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/internal/sibling"
)

// Kinds of notes on a drive in which a device's file is unlike those of the
// other drives.
const (
	UnlikeOthers  estimate.Kind = "unlike the others"   // another rate, or a column that stands still
	DoubtedByRest estimate.Kind = "doubted by the rest" // probably another unit, or two columns exchanged
)

// CompareFiles compares what each device recorded in the drives, and notes on a
// drive where its file is unlike those of the others: see the kinds. Less than
// three drives tell nothing.
func CompareFiles(drives []*Drive) {
	var devices []string
	for _, d := range drives {
		for _, c := range d.allChannels() {
			if !slices.Contains(devices, c.Device) {
				devices = append(devices, c.Device)
			}
		}
	}
	for _, device := range devices {
		var files []sibling.File
		byName := map[string]*Drive{}
		for _, d := range drives {
			if f := d.fileOf(device); len(f.Columns) > 0 {
				files = append(files, f)
				byName[d.Name] = d
			}
		}
		for _, f := range sibling.Odd(files) {
			kind := UnlikeOthers
			if f.Doubts() {
				kind = DoubtedByRest
			}
			d := byName[f.File]
			d.Notes = append(d.Notes, estimate.Warning{Kind: kind, Subject: device, Text: f.Text})
		}
	}
}

func (d *Drive) allChannels() []*Channel {
	var all []*Channel
	for _, r := range d.RoleList() {
		all = append(all, d.Channels[r])
	}
	return append(all, d.Others...)
}

// fileOf is what a device has of the drive, as the logger wrote it.
func (d *Drive) fileOf(device string) sibling.File {
	f := sibling.NewFile(d.Name)
	for _, c := range d.allChannels() {
		if c.Device != device || c.Unit == "" { // a mean of probes is no column
			continue
		}
		f.Add(strings.Trim(c.Column, `"`), c.Unit, c.Readings())
	}
	return f
}
