// Package draft makes a campaign file of a folder of logs, asks what only its
// reader can know, takes answers, and brings a file that is there up to date. It
// knows how such a file is written, and leaves reading it to package campaign.
package draft

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"math"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/campaign/internal/problem"
	"github.com/bonnetbook/bonnetbook/pkg/campaign/internal/survey"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Sketch is a campaign file that was drafted from a folder of logs. It is
// complete but for what only its reader can know.
type Sketch struct {
	Folder string
	// Text is the file; a value "?" stands where the reader must decide.
	Text string
	// Needs are the decisions that are left, with their lines in Text.
	Needs problem.Problems
	// Unused says for each file that could not be used why not.
	Unused []string

	Files   []File
	Devices []Device
	Drives  []Drive
	// Questions are what has to be answered before the campaign can be opened;
	// Optional what it can do without, each with a guess.
	Questions, Optional []Question
	// Remarks say which files are unlike the others of their device, and of which
	// rows or columns were lost.
	Remarks []estimate.Warning
	// Units are those in which it is written: those that the campaign file
	// chooses, else those of the logs.
	Units quantity.Preferred

	air    map[int]string // the outside temperature of drives by number from 1, as TOML
	had    bool           // there was a campaign file
	before string         // its text
	read   func(path string) ([]byte, error)
}

// File is one file of the folder or below.
type File struct {
	Path string // from the folder on; an archive stands for what is in it
	Used bool
	Why  string // it is not used, or which device's it is
}

// Device is a device that was found, and what is known of it from all its
// files together.
type Device struct {
	Name  string
	Files []string
	Clock Clock
	// Columns are in the order of its files.
	Columns []Column
}

// Clock is how a device's clock stands to that of the folder, by when drives
// began and ended, or by their readings ([Options]).
type Clock struct {
	// Offset in seconds is added to its times, beside the hours of its zone;
	// NaN where nothing tells. Low and High are the ends of what it may be.
	Offset, Low, High float64
	// ZoneHours is what its clock is ahead of UTC; NaN where nothing tells.
	ZoneHours float64
}

// Column is a column of a device.
type Column struct {
	Name string
	// Role is a role, "ignore", or "?" where it has to be decided.
	Role string
	// Spare says that another column of the device plays the role.
	Spare bool
	// Sure says that name and readings, or an answer, leave no doubt.
	Sure bool
	// Low and High are the extreme readings of all files in SI, NaN where it has
	// none or their unit is open.
	Low, High float64
	// Written is the range in the files' own numbers where their unit is open,
	// "12.5 to 81.0"; else empty.
	Written   string
	Dimension series.Dimension
}

// Drive is one drive.
type Drive struct {
	Name string
	// Start and End are true instants where a device knows its zone, else as the
	// devices' clocks show; zero where no file has a date.
	Start, End    time.Time
	Configuration string // "?" where it has to be told
	// Files are those on disk, as File names them.
	Files []string
}

// Options are what a draft is told beside the folder.
type Options struct {
	// Answers to questions of an earlier draft, in any order.
	Answers []Answer
	// Memory keeps what was read of the folder, for the next draft of it; nil
	// keeps nothing. The draft is the same with it and without.
	Memory *Memory
	// Closer tells the clocks of the devices by the readings of all drives, too,
	// within seconds where these tell: as long as opening all drives takes. Without
	// it they are told by when the drives began and ended, within a minute or two.
	Closer bool
}

// Memory keeps what was read of a folder's files from one draft to the next.
// Files that changed since are read again.
type Memory = survey.Memory

// DefaultOptions answers nothing; it is the zero value.
func DefaultOptions() Options { return Options{} }

// FileName is the file that Save writes.
const FileName = "campaign.toml"

// Existing is the campaign file that is there.
type Existing struct {
	There bool
	Text  string
	Told  *Told
	// Read reads one, and refuses what is none.
	Read func(path string) ([]byte, error)
}

// Make looks at the folder, see campaign.DraftWith, which hands over the file
// that is there and what checks the text of one. It fails where the folder
// can't be read or holds no readable log, and where an answer can't be used.
func Make(folder string, options Options, there Existing, check func(path string, text []byte) error) (*Sketch, error) {
	files, err := survey.Files(folder, options.Memory)
	if err != nil {
		return nil, fmt.Errorf("a draft needs a folder of logs: %w", err)
	}
	s := &Sketch{Folder: folder, had: there.There, before: there.Text, read: there.Read}
	told := there.Told
	devices := survey.Devices(files)
	if len(devices) == 0 {
		return nil, noLog(folder, files)
	}
	for _, d := range devices {
		d.Name = told.deviceOf(d)
	}
	survey.NameDevices(devices)
	answers, err := sortAnswers(options.Answers, devices)
	if err != nil {
		return nil, err
	}
	dateOrders, layouts := map[string]string{}, map[string]map[string]string{}
	for _, d := range devices {
		layout := told.layout(d.Name)
		maps.Copy(layout, answers.layout[d.Name])
		dateOrders[d.Name], layouts[d.Name] = layout["date_order"], layout
		d.Units(folder, layout)
	}
	survey.DaySystems(devices, folder, layouts)
	s.Units = survey.ReadIn(devices, told.units())
	survey.Clocks(devices, dateOrders)
	for _, d := range devices {
		roles := told.roles(d.Name)
		maps.Copy(roles, answers.roles[d.Name])
		d.Roles(roles)
	}
	intakes, _ := strconv.Atoi(answers.keys["engine.intakes"])
	survey.NumberIntakes(devices, intakes)
	for _, d := range devices {
		for _, f := range d.Unlike() {
			s.Remarks = append(s.Remarks, estimate.Warning{Kind: estimate.Kind(f.Cause), Subject: f.File, Text: f.Text})
		}
	}
	for _, f := range files {
		s.Remarks = append(s.Remarks, f.Lost()...)
	}
	groups := survey.Drives(devices)
	if options.Closer {
		lookCloser(devices, groups)
	}
	s.describe(files, devices, groups, told)
	if err := s.configure(answers.configuration); err != nil {
		return nil, err
	}
	if err := s.noteAir(answers.air); err != nil {
		return nil, err
	}
	s.Text = s.write(devices, groups, told, answers)
	s.ask(devices, told, answers)
	err = check(filepath.Join(folder, FileName), []byte(s.Text))
	if err != nil && !errors.As(err, &s.Needs) {
		return nil, err
	}
	return s, nil
}

func noLog(folder string, files []*survey.File) error {
	var unread []string
	for _, f := range files {
		if !f.Used {
			unread = append(unread, f.Path+": "+f.Why)
		}
	}
	if len(unread) > 0 {
		return fmt.Errorf("no file in %s can be read as a log:\n  %s", folder, strings.Join(unread, "\n  "))
	}
	return fmt.Errorf("there is no log in %s; put the loggers' and the phone's files there and try again", folder)
}

// describe fills in what was found.
func (s *Sketch) describe(files []*survey.File, devices []*survey.Device, groups []survey.Drive, told *Told) {
	deviceOf := map[string]string{}
	for _, d := range devices {
		out := Device{Name: d.Name, Clock: clockOf(d.Clock)}
		for _, f := range d.Files {
			deviceOf[f.Path] = d.Name
			if p := outer(f); !slices.Contains(out.Files, p) {
				out.Files = append(out.Files, p)
			}
		}
		unitOpen := slices.ContainsFunc(d.Open, func(q survey.Question) bool { return q.Key == "temperature_unit" })
		for _, c := range d.Columns {
			col := Column{Name: c.Name, Role: c.Role, Spare: c.Spare, Sure: c.Sure, Low: c.Low, High: c.High, Written: c.Written, Dimension: c.Dimension}
			if unitOpen && c.Dimension == series.Temperature {
				col.Low, col.High = math.NaN(), math.NaN()
			}
			out.Columns = append(out.Columns, col)
		}
		s.Devices = append(s.Devices, out)
	}
	archives := map[string]string{}
	for _, f := range files {
		d := File{Path: outer(f), Used: f.Used, Why: f.Why}
		archives[f.Path] = d.Path
		if f.Used {
			d.Why = "a recording of " + deviceOf[f.Path]
		} else if f.Path != FileName {
			s.Unused = append(s.Unused, f.Path+": "+f.Why)
		}
		if f.Archive != "" {
			d.Why = strings.TrimPrefix(f.Path, f.Archive+"/") + " in it: " + d.Why
			if n := len(s.Files); n > 0 && s.Files[n-1].Path == d.Path {
				s.Files[n-1].Used = s.Files[n-1].Used || d.Used
				s.Files[n-1].Why += "; " + d.Why
				continue
			}
		}
		s.Files = append(s.Files, d)
	}
	names := map[string]int{}
	local := localHours(devices)
	for i, g := range groups {
		d := Drive{Start: g.From, End: g.To, Configuration: survey.Undecided}
		for _, p := range g.Pieces {
			if file := archives[p.Path]; !slices.Contains(d.Files, file) {
				d.Files = append(d.Files, file)
			}
		}
		if e := told.driveOf(g); e != nil {
			d.Name, d.Configuration = e.Name(), e.configuration()
		} else {
			d.Name = fmt.Sprintf("drive %d", i+1)
			if !g.From.IsZero() {
				d.Name = g.From.Add(local).Format("2006-01-02 15:04")
			}
		}
		if names[d.Name]++; names[d.Name] > 1 {
			d.Name = fmt.Sprintf("%s (%d)", d.Name, names[d.Name])
		}
		s.Drives = append(s.Drives, d)
	}
}

// outer is the file on disk: the archive that a file lies in.
func outer(f *survey.File) string { return cmp.Or(f.Archive, f.Path) }

func clockOf(c survey.Clock) Clock {
	switch {
	case c.Reference:
		return Clock{ZoneHours: c.ZoneHours}
	case !c.Known:
		return Clock{Offset: math.NaN(), Low: math.NaN(), High: math.NaN(), ZoneHours: math.NaN()}
	}
	return Clock{Offset: c.Offset, Low: c.Low, High: c.High, ZoneHours: c.ZoneHours}
}

// localHours is the zone that loggers were set to, for names of drives.
func localHours(devices []*survey.Device) time.Duration {
	for _, d := range devices {
		if h := d.Clock.ZoneHours; !d.Zoned && h == h {
			return time.Duration(h) * time.Hour
		}
	}
	return 0
}

// String says what was found and what needs the reader.
func (s *Sketch) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "Here is a draft campaign for %s in %s.", plural(s.used(), "file"), plural(len(s.Drives), "drive"))
	if len(s.Needs) > 0 {
		fmt.Fprintf(&b, " %s you:\n", map[bool]string{true: "This one thing needs", false: fmt.Sprintf("These %d things need", len(s.Needs))}[len(s.Needs) == 1])
		for i, n := range s.Needs {
			fmt.Fprintf(&b, "  %d. line %d: %s: %s\n", i+1, n.Line, n.Key, n.Message)
		}
	} else {
		b.WriteString(" Nothing is left open.\n")
	}
	for _, u := range s.Unused {
		fmt.Fprintf(&b, "  not used: %s\n", u)
	}
	for _, r := range s.Remarks {
		fmt.Fprintf(&b, "  look at %s: %s\n", r.Subject, r.Text)
	}
	return b.String()
}

func (s *Sketch) used() int {
	n := 0
	for _, f := range s.Files {
		if f.Used {
			n++
		}
	}
	return n
}

func plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}
