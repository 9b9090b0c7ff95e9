package survey

import (
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"
)

// Drives puts the files of one drive together: first those whose names
// agree but for what names the device ("open-1-phone", "open-1-logger-a"), then
// those whose times overlap as written, then those that overlap when one clock
// is moved by whole hours, as between local time and UTC. The result is in
// order of time.
func Drives(logs []Log) [][]Log {
	sorted := slices.Clone(logs)
	slices.SortStableFunc(sorted, func(a, b Log) int { return a.Record.Start.Compare(b.Record.Start) })
	var drives [][]Log
	for _, l := range sorted {
		drives = append(drives, []Log{l})
	}
	keys := nameKeys(sorted)
	drives = merge(drives, func(a, b []Log) bool {
		return keys[a[0].Path] != "" && keys[a[0].Path] == keys[b[0].Path]
	})
	drives = merge(drives, func(a, b []Log) bool { return overlap(a, b, 0) })
	alone := drives
	return merge(drives, func(a, b []Log) bool {
		return overlapByHours(a, b) && onlyPartner(a, b, alone) && onlyPartner(b, a, alone)
	})
}

// merge adds each group to the first earlier one that fits it and has no file
// of the same device.
func merge(groups [][]Log, fit func(a, b []Log) bool) [][]Log {
	var out [][]Log
	for _, g := range groups {
		at := slices.IndexFunc(out, func(o []Log) bool { return !sharesDevice(g, o) && fit(g, o) })
		if at < 0 {
			out = append(out, g)
			continue
		}
		out[at] = append(slices.Clone(out[at]), g...)
	}
	return out
}

func sharesDevice(a, b []Log) bool {
	return slices.ContainsFunc(a, func(x Log) bool {
		return slices.ContainsFunc(b, func(y Log) bool { return x.Device == y.Device })
	})
}

var nameParts = regexp.MustCompile(`[a-z]+|[0-9]+`)

// nameKeys returns for each file the parts of its name that not all files of
// its device have; empty where that leaves nothing.
func nameKeys(logs []Log) map[string]string {
	parts := map[string][]string{}
	files := map[string]int{}
	seen := map[string]map[string]int{} // device → part → number of its files
	for _, l := range logs {
		name := strings.ToLower(strings.TrimSuffix(l.Path, filepath.Ext(l.Path)))
		parts[l.Path] = nameParts.FindAllString(name, -1)
		files[l.Device]++
		if seen[l.Device] == nil {
			seen[l.Device] = map[string]int{}
		}
		once := slices.Compact(slices.Sorted(slices.Values(parts[l.Path])))
		for _, p := range once {
			seen[l.Device][p]++
		}
	}
	keys := map[string]string{}
	for _, l := range logs {
		var own []string
		for _, p := range parts[l.Path] {
			if seen[l.Device][p] < files[l.Device] {
				own = append(own, p)
			}
		}
		keys[l.Path] = strings.Join(own, " ")
	}
	return keys
}

// overlap reports whether a file of one group, its clock moved, shares time
// with a file of the other.
func overlap(a, b []Log, move time.Duration) bool {
	return slices.ContainsFunc(a, func(x Log) bool {
		from, to := span(x)
		return slices.ContainsFunc(b, func(y Log) bool {
			otherFrom, otherTo := span(y)
			return x.Record.Dated && y.Record.Dated && from.Add(move).Before(otherTo) && otherFrom.Before(to.Add(move))
		})
	})
}

func span(l Log) (from, to time.Time) {
	v := l.Record.Interval()
	return l.Record.Start.Add(time.Duration(v.From * 1e9)), l.Record.Start.Add(time.Duration(v.To * 1e9))
}

// overlapByHours reports whether the groups meet when one is moved by whole
// hours, where one carries a time zone and the other does not.
func overlapByHours(a, b []Log) bool {
	if a[0].Record.ZoneKnown == b[0].Record.ZoneKnown {
		return false
	}
	for h := -14; h <= 14; h++ {
		if overlap(a, b, time.Duration(h)*time.Hour) {
			return true
		}
	}
	return false
}

// onlyPartner reports whether b is the only group of its devices that a meets
// by whole hours.
func onlyPartner(a, b []Log, groups [][]Log) bool {
	for _, g := range groups {
		if g[0].Path != b[0].Path && sharesDevice(b, g) && overlapByHours(a, g) {
			return false
		}
	}
	return true
}
