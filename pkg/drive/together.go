package drive

import (
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
)

// told reports whether a device's clock needs no more evidence.
func (c DeviceClock) told() bool { return c.Aligned() && !c.Result.IsAmbiguous() }

// ClocksOpen reports whether the drive alone does not tell how one of its
// devices' clocks stands: nothing tells, or two offsets fit.
func (d *Drive) ClocksOpen() bool {
	return slices.ContainsFunc(d.Clocks, func(c DeviceClock) bool { return !c.told() })
}

// CommonClocks says what several drives tell together of the clocks that they
// don't tell alone ([clock.FromSeveral]): a device's clock runs on between
// drives, so that its offset to another device's is one for all of them, but
// for a drift. It takes the clocks of each drive ([Drive.Clocks]) and returns
// for each drive the clocks that were found, by the devices' names. Zero options
// stand for [clock.DefaultOptions].
//
// Only devices with a date in their files count, beside the same device as the
// drive's clock.
func CommonClocks(drives [][]DeviceClock, opts clock.Options) []map[string]clock.Result {
	if opts == (clock.Options{}) {
		opts = clock.DefaultOptions()
	}
	type pair struct{ reference, device string }
	type place struct{ drive, clock int }
	at := map[pair][]place{}
	var pairs []pair
	for i, clocks := range drives {
		ref := slices.IndexFunc(clocks, func(c DeviceClock) bool { return c.Reference && !c.Undated })
		if ref < 0 {
			continue
		}
		for k, c := range clocks {
			if p := (pair{clocks[ref].Device, c.Device}); k != ref && !c.Undated && !c.Result.Profile.At.IsZero() {
				if at[p] == nil {
					pairs = append(pairs, p)
				}
				at[p] = append(at[p], place{i, k})
			}
		}
	}
	found := make([]map[string]clock.Result, len(drives))
	for _, p := range pairs {
		all := at[p]
		if !slices.ContainsFunc(all, func(x place) bool { return !drives[x.drive][x.clock].told() }) {
			continue
		}
		profiles := make([]clock.Profile, len(all))
		for i, x := range all {
			profiles[i] = drives[x.drive][x.clock].Result.Profile
		}
		results, err := clock.FromSeveral(profiles, opts)
		if err != nil {
			continue // they stay as each drive has them
		}
		for i, x := range all {
			if drives[x.drive][x.clock].told() || results[i].Method != clock.SeveralDrives {
				continue
			}
			if found[x.drive] == nil {
				found[x.drive] = map[string]clock.Result{}
			}
			found[x.drive][p.device] = results[i]
		}
	}
	return found
}

// WithClocks returns the request with clocks that [CommonClocks] found for the
// drive that Join made of it.
func (r Request) WithClocks(d *Drive, found map[string]clock.Result) Request {
	r.Sources = slices.Clone(r.Sources)
	for i, s := range r.Sources {
		if k, ok := found[s.Device]; ok {
			r.Sources[i].Clock = &k
		} else if slices.ContainsFunc(d.Clocks, func(c DeviceClock) bool { return c.Device == s.Device && c.Reference }) {
			r.Sources[i].Clock = &clock.Result{} // stays the drive's clock
		}
	}
	return r
}

// Together looks at drives that [Join] made of the requests, nil where it
// failed, and joins those again whose clocks can't be told alone but together.
// The list is changed in place.
func Together(requests []Request, drives []*Drive) {
	if len(drives) < 2 || !slices.ContainsFunc(drives, func(d *Drive) bool { return d != nil && d.ClocksOpen() }) {
		return
	}
	clocks := make([][]DeviceClock, len(drives))
	for i, d := range drives {
		if d != nil {
			clocks[i] = d.Clocks
		}
	}
	for i, found := range CommonClocks(clocks, requests[0].Clocks) {
		if len(found) == 0 {
			continue
		}
		if d, err := Join(requests[i].WithClocks(drives[i], found)); err == nil {
			drives[i] = d
		}
	}
}
