package survey

import (
	"math"
	"path"

	"github.com/bonnetbook/bonnetbook/pkg/internal/sibling"
)

// asSibling takes the clock of another device that may be the same box, whose
// owner wrote other names on its channels later: files of one kind with as many
// channels in one folder, never two at once by their own clock. It does so where
// the dates are nonsense, as of a clock that was never set, and no more than one
// drive would speak for an offset of its own: among some drives one fits always.
func (d *Device) asSibling(others []*Device, own match, reference []run) (match, bool) {
	if own.pairs > 1 || own.pairs == 1 && math.Abs(own.offset) < nonsense {
		return own, false
	}
	for _, o := range others {
		if o == d || !o.Clock.Known || o.Clock.Reference || len(o.pieces) == 0 || math.Abs(o.pieces[0].shift) < nonsense || !d.mayBe(o) {
			continue
		}
		if m := fit(runs(d.pieces), reference, o.pieces[0].shift); m.pairs >= own.pairs || math.Abs(own.offset-m.offset) > ranOver {
			return m, true
		}
	}
	return own, false
}

// nonsense is the offset in seconds from which on a date is not a zone's or a
// day's mistake: a month.
const nonsense = 30 * 86400.0

// mayBe reports whether two devices may be one box.
func (d *Device) mayBe(o *Device) bool {
	a, b := d.Files[0].ways[0].Recording, o.Files[0].ways[0].Recording
	if a.Format != b.Format || len(a.Columns) != len(b.Columns) || path.Dir(d.Files[0].Path) != path.Dir(o.Files[0].Path) {
		return false
	}
	for _, p := range d.pieces {
		for _, q := range o.pieces {
			if p.from < q.to && q.from < p.to {
				return false
			}
		}
	}
	return true
}

// Unlike names the files of the device that are unlike the rest.
func (d *Device) Unlike() []sibling.Finding {
	names := d.ColumnNames()
	var files []sibling.File
	for _, f := range d.Files {
		out := sibling.NewFile(f.Path)
		for i, c := range columns(d.Files[0].ways[0].Recording) {
			for _, own := range f.readings(c.Name, i) {
				if own.Series.Present() > 0 && !own.Derived {
					out.Add(names[i], own.Unit, own.Series)
					break
				}
			}
		}
		files = append(files, out)
	}
	return sibling.Odd(files)
}
