package survey

import (
	"fmt"
	"path"
	"regexp"
	"slices"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Device is what wrote files with the same columns.
type Device struct {
	Name  string
	Files []*File
	// Zoned says that its files know their time zone.
	Zoned   bool
	Columns []Column
	// Open are the questions on the layout of its files, Settled the layout's
	// keys that were open in a file and that other files decide.
	Open    []Question
	Settled map[string]string
	Clock   Clock
	// Reads are the units in which its columns are described.
	Reads quantity.Preferred

	pieces []*Piece
}

// Question is what the files of a device leave open about their layout.
type Question struct {
	Key     string // of the layout
	Text    string
	Choices []string
	Guess   string // empty where nothing is likelier than the rest
	Files   []string
}

// Piece is one session of a file.
type Piece struct {
	Device  *Device
	Path    string
	Session int // from 1; 0 where the file has only one
	Record  *recording.Recording

	from, to float64 // on the device's clock, seconds after 1970
	dated    bool
	shift    float64 // onto the clock of the folder
}

// Part names what of its file the piece is, see [Part].
func (p *Piece) Part() string { return Part(p.Path, p.Session) }

// Part names a file, or one of its sessions where it is not 0.
func Part(name string, session int) string {
	if session == 0 {
		return path.Clean(name)
	}
	return fmt.Sprintf("%s, session %d", path.Clean(name), session)
}

// start and end are on the clock of the folder.
func (p *Piece) start() float64 { return p.from + p.shift }
func (p *Piece) end() float64   { return p.to + p.shift }

// Devices gives files with the same columns one device. Files that overlap in
// time are of two devices, if their folders or names tell these apart.
func Devices(files []*File) []*Device {
	var order []string
	groups := map[string][]*File{}
	for _, f := range files {
		if f.Used {
			key := signature(f.ways[0].Recording)
			if groups[key] == nil {
				order = append(order, key)
			}
			groups[key] = append(groups[key], f)
		}
	}
	var all []*Device
	for _, key := range order {
		for _, same := range byTimeUnit(groups[key]) {
			for _, g := range apart(same) {
				all = append(all, &Device{Files: g, Zoned: g[0].ways[0].Recording.ZoneKnown})
			}
		}
	}
	return all
}

func signature(r *recording.Recording) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s|%v", r.Format, r.ZoneKnown)
	for _, c := range r.Columns {
		fmt.Fprintf(&b, "|%s", c.Name)
	}
	return b.String()
}

var number = regexp.MustCompile(`[0-9]+`)

// apart splits files that one device can't have written.
func apart(files []*File) [][]*File {
	for i, f := range files {
		for _, g := range files[:i] {
			if !together(f, g) {
				continue
			}
			for _, way := range []func(*File) string{
				func(f *File) string { return path.Dir(f.Path) },
				func(f *File) string { return number.ReplaceAllString(path.Base(f.Path), "#") },
			} {
				if way(f) != way(g) {
					return split(files, way)
				}
			}
		}
	}
	return [][]*File{files}
}

// together reports whether two files were recorded at the same time, by the
// dates as written.
func together(f, g *File) bool {
	a, b := f.ways[0].Recording, g.ways[0].Recording
	if !a.Dated || !b.Dated {
		return false
	}
	af, at := span(a)
	bf, bt := span(b)
	return min(at, bt)-max(af, bf) > 0.3*min(at-af, bt-bf)
}

func split(files []*File, key func(*File) string) [][]*File {
	var order []string
	groups := map[string][]*File{}
	for _, f := range files {
		k := key(f)
		if groups[k] == nil {
			order = append(order, k)
		}
		groups[k] = append(groups[k], f)
	}
	var all [][]*File
	for _, k := range order {
		all = append(all, groups[k])
	}
	return all
}

// span returns a recording's first and last instant in seconds after 1970.
func span(r *recording.Recording) (from, to float64) {
	v := r.Interval()
	base := float64(r.Start.Unix()) + float64(r.Start.Nanosecond())/1e9
	return base + v.From, base + v.To
}

// NameDevices names those that have no name yet: phones, which know speed or
// position and no temperature, and loggers.
func NameDevices(all []*Device) {
	taken := map[string]bool{}
	for _, d := range all {
		taken[d.Name] = true
	}
	for _, d := range all {
		for i := 0; d.Name == ""; i++ {
			name := "phone"
			if i > 0 {
				name = fmt.Sprintf("phone %d", i+1)
			}
			if !d.isPhone() {
				name = "logger " + string(rune('A'+i%26)) + strings.Repeat("'", i/26)
			}
			if !taken[name] {
				d.Name, taken[name] = name, true
			}
		}
	}
}

func (d *Device) isPhone() bool {
	r := d.Files[0].ways[0].Recording
	return len(r.OfDimension(series.Temperature)) == 0 && len(r.OfDimension(series.Speed))+len(r.OfDimension(series.Angle)) > 0
}

// cut makes the pieces of the device, reading its dates in the given order.
func (d *Device) cut(dateOrder string) []*Piece {
	var all []*Piece
	for _, f := range d.Files {
		r := f.way(dateOrder).Recording
		sessions := r.Sessions()
		for i, s := range sessions {
			p := &Piece{Device: d, Path: f.Path, Record: s}
			if len(sessions) > 1 {
				p.Session = i + 1
			}
			p.from, p.to = span(s)
			p.dated = s.Dated && !(elapsed(s.Layout.TimeFormat) && atMidnight(s.Start))
			if at, ok := stampIn(f.Path); ok && !p.dated {
				length := p.to - p.from
				p.from, p.dated = float64(at.Unix()), true
				p.to = p.from + length
			}
			all = append(all, p)
		}
	}
	return all
}

// elapsed reports whether stamps count from a start.
func elapsed(f recording.TimeFormat) bool {
	return slices.Contains([]recording.TimeFormat{recording.ElapsedClock, recording.ElapsedMinSec, recording.ElapsedSeconds,
		recording.ElapsedMilliseconds, recording.ElapsedMinutes, recording.ElapsedHours, recording.ByInterval}, f)
}

// atMidnight reports whether a file of elapsed times begins so near to midnight
// that its date alone is known, from its name.
func atMidnight(start time.Time) bool {
	of := start.Sub(start.Truncate(24 * time.Hour))
	return of < 10*time.Minute || of > 24*time.Hour-10*time.Minute
}

var stamp = regexp.MustCompile(`(20[0-9]{2})[-_.]?([01][0-9])[-_.]?([0-3][0-9])[-_ T]?([0-2][0-9])[-_.h]?([0-5][0-9])`)

// stampIn finds date and time of day in a file's name.
func stampIn(name string) (time.Time, bool) {
	m := stamp.FindStringSubmatch(path.Base(name))
	if m == nil {
		return time.Time{}, false
	}
	at, err := time.Parse("200601021504", strings.Join(m[1:], ""))
	return at, err == nil
}

// way returns the reading with that order of dates, or the first.
func (f *File) way(dateOrder string) recording.Way {
	for _, w := range f.ways {
		if orderOf(w) == dateOrder {
			return w
		}
	}
	return f.ways[0]
}

// orderOf is the order of dates that a way takes.
func orderOf(w recording.Way) string {
	for _, a := range w.Asked {
		if a.Key == "date_order" {
			return a.Taken
		}
	}
	return string(w.Recording.Layout.DateOrder)
}

// columns lists the columns of a recording and of what is separate from it,
// each name once: below another header a file may have others.
func columns(r *recording.Recording) []*recording.Column {
	all := slices.Clone(r.Columns)
	for _, s := range r.Separate {
		for _, c := range columns(s) {
			if !slices.ContainsFunc(all, func(o *recording.Column) bool { return o.Name == c.Name }) {
				all = append(all, c)
			}
		}
	}
	return all
}

// readings lists what a file has of a column: in itself and in what is
// separate from it.
func (f *File) readings(name string, number int) []*recording.Column {
	var all []*recording.Column
	var of func(r *recording.Recording)
	of = func(r *recording.Recording) {
		for i, c := range r.Columns {
			if c.Name == name && (name != "" || i == number) {
				all = append(all, c)
			}
		}
		for _, s := range r.Separate {
			of(s)
		}
	}
	of(f.ways[0].Recording)
	return all
}

// ColumnNames lists the columns as a campaign names them.
func (d *Device) ColumnNames() []string {
	var names []string
	for i, c := range columns(d.Files[0].ways[0].Recording) {
		name := c.Name
		if name == "" || slices.Contains(names, name) {
			name = fmt.Sprint(i + 1)
		}
		names = append(names, name)
	}
	return names
}

// Asks lists the keys of the layout that any file leaves open.
func (d *Device) Asks() []string {
	var keys []string
	for _, f := range d.Files {
		for _, w := range f.ways {
			for _, a := range w.Asked {
				if !slices.Contains(keys, a.Key) {
					keys = append(keys, a.Key)
				}
			}
		}
	}
	return keys
}

// Temperatures lists the columns of which the files do not say that they are
// temperatures.
func (d *Device) Temperatures() []string {
	var names []string
	for _, c := range d.Columns {
		if c.AsTemperature {
			names = append(names, c.Name)
		}
	}
	return names
}
