package draft

import (
	"cmp"
	"math"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/campaign/internal/survey"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/internal/parallel"
)

// farOff is by how many seconds an offset that the readings tell may miss the one
// by when drives began and ended: what lies further off is a clock that was set
// anew on the way, and not that of the campaign.
const farOff = 600.0

// lookCloser tells the clocks of devices by the readings of all drives, as
// [drive.Join] does, where they tell: the offset is the middle one of those at the
// drives, its ends are those of all of them, a drift included.
func lookCloser(devices []*survey.Device, groups []survey.Drive) {
	requests, drives := make([]drive.Request, len(groups)), make([]*drive.Drive, len(groups))
	parallel.Each(len(groups), func(i int) {
		requests[i] = fileDrive("", groups[i]).Request
		slices.SortStableFunc(requests[i].Sources, func(a, b drive.Source) int { return cmp.Compare(rank(a.Device, devices), rank(b.Device, devices)) })
		if d, err := drive.Join(requests[i]); err == nil { // one that can't be joined says nothing
			drives[i] = d
		}
	})
	drive.Together(requests, drives)
	for _, d := range devices {
		if d.Clock.Reference {
			continue
		}
		var offsets []float64
		low, high := math.Inf(1), math.Inf(-1)
		for _, x := range drives {
			c, found := clockIn(x, d.Name, devices)
			if !found {
				continue
			}
			r := c.Result
			zone := 0.0
			if h := d.Clock.ZoneHours; h == h {
				zone = 3600 * h
			}
			if d.Clock.Known && math.Abs(r.Offset+zone-d.Clock.Offset) > farOff {
				continue
			}
			offsets = append(offsets, r.Offset+zone)
			low, high = min(low, r.Interval.From+zone), max(high, r.Interval.To+zone)
		}
		if len(offsets) > 0 {
			slices.Sort(offsets)
			d.Clock.Known, d.Clock.Low, d.Clock.High = true, low, high
			d.Clock.Offset = (offsets[(len(offsets)-1)/2] + offsets[len(offsets)/2]) / 2
		}
	}
}

// rank is 0 for a device whose clock is that of the folder: it comes first in a
// drive, so that the drive's clock is its.
func rank(device string, devices []*survey.Device) int {
	if slices.ContainsFunc(devices, func(d *survey.Device) bool { return d.Name == device && d.Clock.Reference }) {
		return 0
	}
	return 1
}

// clockIn is what a drive tells of a device's clock beside that of the folder.
func clockIn(x *drive.Drive, device string, devices []*survey.Device) (told drive.DeviceClock, found bool) {
	if x == nil {
		return told, false
	}
	byFolder := false
	for _, c := range x.Clocks {
		if c.Reference {
			byFolder = rank(c.Device, devices) == 0
		}
		if c.Device == device && !c.Undated && c.Aligned() && !c.Result.IsAmbiguous() {
			told, found = c, true
		}
	}
	return told, found && byFolder
}
