package campaign

import (
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"
)

// groupDrives puts the files of one drive together: first those whose names
// agree but for what names the device ("open-1-phone", "open-1-logger-a"), then
// those whose times overlap as written, then those that overlap when one clock
// is moved by whole hours, as between local time and UTC. The result is in
// order of time.
func groupDrives(logs []foundLog) [][]foundLog {
	sorted := slices.Clone(logs)
	slices.SortStableFunc(sorted, func(a, b foundLog) int { return a.record.Start.Compare(b.record.Start) })
	var drives [][]foundLog
	for _, l := range sorted {
		drives = append(drives, []foundLog{l})
	}
	keys := nameKeys(sorted)
	drives = merge(drives, func(a, b []foundLog) bool {
		return keys[a[0].path] != "" && keys[a[0].path] == keys[b[0].path]
	})
	drives = merge(drives, func(a, b []foundLog) bool { return overlap(a, b, 0) })
	alone := drives
	return merge(drives, func(a, b []foundLog) bool {
		return overlapByHours(a, b) && onlyPartner(a, b, alone) && onlyPartner(b, a, alone)
	})
}

// merge adds each group to the first earlier one that fits it and has no file
// of the same device.
func merge(groups [][]foundLog, fit func(a, b []foundLog) bool) [][]foundLog {
	var out [][]foundLog
	for _, g := range groups {
		at := slices.IndexFunc(out, func(o []foundLog) bool { return !sharesDevice(g, o) && fit(g, o) })
		if at < 0 {
			out = append(out, g)
			continue
		}
		out[at] = append(slices.Clone(out[at]), g...)
	}
	return out
}

func sharesDevice(a, b []foundLog) bool {
	return slices.ContainsFunc(a, func(x foundLog) bool {
		return slices.ContainsFunc(b, func(y foundLog) bool { return x.device == y.device })
	})
}

var nameParts = regexp.MustCompile(`[a-z]+|[0-9]+`)

// nameKeys returns for each file the parts of its name that not all files of
// its device have; empty where that leaves nothing.
func nameKeys(logs []foundLog) map[string]string {
	parts := map[string][]string{}
	files := map[string]int{}
	seen := map[string]map[string]int{} // device → part → number of its files
	for _, l := range logs {
		name := strings.ToLower(strings.TrimSuffix(l.path, filepath.Ext(l.path)))
		parts[l.path] = nameParts.FindAllString(name, -1)
		files[l.device]++
		if seen[l.device] == nil {
			seen[l.device] = map[string]int{}
		}
		once := slices.Compact(slices.Sorted(slices.Values(parts[l.path])))
		for _, p := range once {
			seen[l.device][p]++
		}
	}
	keys := map[string]string{}
	for _, l := range logs {
		var own []string
		for _, p := range parts[l.path] {
			if seen[l.device][p] < files[l.device] {
				own = append(own, p)
			}
		}
		keys[l.path] = strings.Join(own, " ")
	}
	return keys
}

// overlap reports whether a file of one group, its clock moved, shares time
// with a file of the other.
func overlap(a, b []foundLog, move time.Duration) bool {
	return slices.ContainsFunc(a, func(x foundLog) bool {
		from, to := span(x)
		return slices.ContainsFunc(b, func(y foundLog) bool {
			otherFrom, otherTo := span(y)
			return x.record.Dated && y.record.Dated && from.Add(move).Before(otherTo) && otherFrom.Before(to.Add(move))
		})
	})
}

func span(l foundLog) (from, to time.Time) {
	v := l.record.Interval()
	return l.record.Start.Add(time.Duration(v.From * 1e9)), l.record.Start.Add(time.Duration(v.To * 1e9))
}

// overlapByHours reports whether the groups meet when one is moved by whole
// hours, where one carries a time zone and the other does not.
func overlapByHours(a, b []foundLog) bool {
	if a[0].record.ZoneKnown == b[0].record.ZoneKnown {
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
func onlyPartner(a, b []foundLog, groups [][]foundLog) bool {
	for _, g := range groups {
		if g[0].path != b[0].path && sharesDevice(b, g) && overlapByHours(a, g) {
			return false
		}
	}
	return true
}
