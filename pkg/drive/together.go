package drive

import (
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
)

// told reports whether a device's clock needs no more evidence.
func (c DeviceClock) told() bool { return c.Aligned() && !c.Result.IsAmbiguous() }

// ClocksOpen reports whether the drive alone does not tell how one of its
// devices' clocks stands: nothing tells, or two offsets fit. A drive that is nil
// has none.
func (d *Drive) ClocksOpen() bool {
	return d != nil && slices.ContainsFunc(d.Clocks, func(c DeviceClock) bool { return !c.told() })
}

// Together looks at drives that [Join] made of the requests, nil where it
// failed, and joins those again whose clocks can't be told alone but together
// ([Again]). The list is changed in place.
func Together(requests []Request, drives []*Drive) {
	for i, r := range Again(requests, drives) {
		if d, err := Join(r); err == nil {
			drives[i] = d
		}
	}
}

// Again looks at drives that [Join] made of the requests, nil where it failed,
// beside the clocks of other drives ([Drive.Clocks]). It returns the requests that
// are to be joined once more, by their index: those of drives whose clocks can't
// be told alone, with what all of them tell together ([clock.FromSeveral]).
//
// A device's clock runs on between drives, so that its offset to another
// device's is one for all of them, but for a drift. Only devices with a date in
// their files count, beside the same device as the drive's clock. The options are
// those of the first request; zero ones stand for [clock.DefaultOptions].
func Again(requests []Request, drives []*Drive, others ...[]DeviceClock) map[int]Request {
	if len(drives)+len(others) < 2 || !slices.ContainsFunc(drives, (*Drive).ClocksOpen) {
		return nil
	}
	clocks := make([][]DeviceClock, len(drives))
	for i, d := range drives {
		if d != nil {
			clocks[i] = d.Clocks
		}
	}
	again := map[int]Request{}
	for i, found := range commonClocks(append(clocks, others...), requests[0].Clocks)[:len(drives)] {
		if len(found) > 0 {
			again[i] = requests[i].withClocks(drives[i], found)
		}
	}
	return again
}

// commonClocks takes the clocks of each drive and returns for each those that
// were found, by the devices' names.
func commonClocks(drives [][]DeviceClock, opts clock.Options) []map[string]clock.Result {
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

// withClocks returns the request with clocks that were found for the drive that
// Join made of it.
func (r Request) withClocks(d *Drive, found map[string]clock.Result) Request {
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
