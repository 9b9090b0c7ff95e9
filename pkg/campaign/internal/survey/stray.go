package survey

import (
	"math"
	"path"
	"regexp"
	"slices"
	"strings"
)

// stray moves runs of a device that meet no other, and were left alone by its
// one clock, by whole hours where that makes them meet exactly one drive which
// has no file of the device: a clock that was set on the way, by hand or to
// summer time.
func (d *Device) stray(others []run) {
	own := runs(d.pieces)
	free := slices.DeleteFunc(slices.Clone(others), func(o run) bool {
		return slices.ContainsFunc(own, func(r run) bool { return alike(r, o, 0) > 0.3 })
	})
	for _, r := range own {
		if slices.ContainsFunc(others, func(o run) bool { return alike(r, o, 0) > 0.3 }) {
			continue
		}
		best, second, move := 0.0, 0.0, 0.0
		for _, o := range free {
			hours := math.Round((o.from - r.from) / 3600)
			if hours == 0 || math.Abs(hours) > 14 {
				continue
			}
			switch a := alike(r, o, 3600*hours); {
			case a > best:
				second, best, move = best, a, 3600*hours
			case a > second:
				second = a
			}
		}
		if best > 0.7 && second < 0.5 {
			for _, p := range r.pieces {
				p.shift += move
			}
		}
	}
}

// alike is the shared time of two runs over the time that either ran.
func alike(a, b run, move float64) float64 {
	shared := min(a.to+move, b.to) - max(a.from+move, b.from)
	return max(0, shared/(max(a.to+move, b.to)-min(a.from+move, b.from)))
}

var nameParts = regexp.MustCompile(`[a-z]+|[0-9]+`)

// nameKeys returns for each path the parts of its name that not all files of
// its device have; empty where that leaves nothing.
func nameKeys(all []*Device) map[string]string {
	keys := map[string]string{}
	for _, d := range all {
		seen := map[string]int{}
		parts := map[string][]string{}
		for _, f := range d.Files {
			base := strings.ToLower(path.Base(f.Path))
			parts[f.Path] = nameParts.FindAllString(strings.TrimSuffix(base, path.Ext(base)), -1)
			for _, p := range slices.Compact(slices.Sorted(slices.Values(parts[f.Path]))) {
				seen[p]++
			}
		}
		for _, f := range d.Files {
			var own []string
			for _, p := range parts[f.Path] {
				if seen[p] < len(d.Files) {
					own = append(own, p)
				}
			}
			keys[f.Path] = strings.Join(own, " ")
		}
	}
	return keys
}

// byName puts a group of one device that met no other to the group whose files
// are named alike but for what names the device ("open-1-phone",
// "open-1-logger-a"), where there is exactly one. Times that are known to
// differ by more than a day speak against it.
func byName(drives []Drive, all []*Device) []Drive {
	keys := nameKeys(all)
	for i := 0; i < len(drives); i++ {
		a := drives[i]
		if slices.ContainsFunc(a.Pieces, func(p *Piece) bool { return p.Device != a.Pieces[0].Device || p.Session > 0 }) {
			continue
		}
		at, n := -1, 0
		for k, b := range drives {
			if k != i && namedAlike(a, b, keys) {
				at, n = k, n+1
			}
		}
		if n != 1 {
			continue
		}
		b := &drives[at]
		b.Pieces = append(slices.Clone(b.Pieces), a.Pieces...)
		if b.From.IsZero() {
			b.From, b.To = a.From, a.To
		}
		drives = slices.Delete(drives, i, i+1)
		i--
	}
	return drives
}

func namedAlike(a, b Drive, keys map[string]string) bool {
	key := keys[a.Pieces[0].Path]
	if key == "" || !a.From.IsZero() && !b.From.IsZero() && math.Abs(a.From.Sub(b.From).Hours()) > 24 {
		return false
	}
	same := false
	for _, p := range b.Pieces {
		if p.Device == a.Pieces[0].Device || p.Session > 0 {
			return false
		}
		same = same || keys[p.Path] == key
	}
	return same
}
