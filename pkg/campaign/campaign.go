package campaign

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/bonnetbook/bonnetbook/internal/pathname"
	"github.com/bonnetbook/bonnetbook/pkg/campaign/internal/together"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
	"github.com/bonnetbook/bonnetbook/pkg/sensor"
)

// Campaign is the content of a campaign file, checked.
type Campaign struct {
	// Path is the campaign file; the files that it names lie in its folder or
	// below.
	Path   string
	Car    Car
	Engine engine.Description
	// AirCooled says that the engine has no thermostat.
	AirCooled bool
	// Intakes is how many intakes the engine has; 0 where the file does not say.
	Intakes int
	// Warm says when the engine counts as warm where no thermostat shows it.
	Warm           drive.WarmRule
	Configurations []Configuration
	Devices        []Device
	Entries        []Entry
	// Units are those in which the owner wants to read results: those of [units];
	// for pressure else that in which pressures are stated. A zero unit is that of
	// the drives' files.
	Units quantity.Preferred
	// Question is what is to be answered.
	Question Question
	// Remarks are what to know about the file that is no problem, as it was read:
	// keys that have another name now.
	Remarks []estimate.Warning

	root   *os.Root // confines reading to the campaign's folder
	clocks *together.Memory
}

// Car describes the car. A zero quantity is one that the file leaves out.
type Car struct {
	Name string
	Note string
	Mass quantity.Mass // as driven: with driver, fuel and load
	// DragArea is the drag coefficient times the frontal area.
	DragArea quantity.Area
	// RollingResistance is the rolling resistance coefficient.
	RollingResistance float64
}

// Device is one logger or phone: how its files read and what its channels
// measure.
type Device struct {
	Name string
	Note string
	// Channels gives roles to columns, named by number (channel 1 is the first
	// measured column) or by header.
	Channels []ChannelRole
	// Layout says how the device's files are laid out; zero fields are
	// detected.
	Layout recording.Layout
}

// ChannelRole says which column plays which role, and how it is corrected.
type ChannelRole struct {
	Column string
	Role   drive.Role // empty: the column is ignored
	// Spare says that another column of the device plays the role; this one is
	// kept beside it, shown and checked.
	Spare bool
	// Calibration corrects the channel; the zero value changes nothing.
	Calibration sensor.Calibration
	line        int
}

// Entry is one drive as the file describes it, before any log is read.
type Entry struct {
	Name          string
	Configuration string
	Note          string
	Files         []File
	Weather       WeatherReport
	// WarmAt is the instant in seconds after the start of the drive at which
	// the engine counts as warm; NaN: not stated. WarmUncertainty is its
	// standard uncertainty.
	WarmAt, WarmUncertainty float64
	StartsWarm              bool
	Excluded                []Exclusion
	// FullThrottle are stretches of which the owner says whether they were at
	// full throttle.
	FullThrottle []drive.StatedStretch
	line         int
	key          string
}

// File is one device's recording of a drive; more than one path where the
// device split it.
type File struct {
	Paths  []string
	Device string
	// Session is which of the file's sessions it is, from 1, where a device
	// keeps many drives in one file; 0: the whole file.
	Session int
	// ClockOffset in seconds is added to the file's times; NaN: to be
	// estimated.
	ClockOffset float64
	// ClockDrift is the gain of the drive's clock on this one, seconds per
	// second.
	ClockDrift float64
	// ClockUncertainty is the standard uncertainty of a stated offset in
	// seconds; NaN if not stated.
	ClockUncertainty float64
	// Sync holds the times, on this device's clock, of events that every
	// device with such a list has seen, in the same order.
	Sync []time.Time
	line int
	key  string
}

// Exclusion is a stretch of a drive that is not to be used.
type Exclusion struct {
	From, To float64 // seconds after the start of the drive
	Role     drive.Role
	Reason   string
}

// Open reads and checks a campaign file; a leading ~ is the home folder. It does not read the logs, but each
// must exist. The error lists every problem as [Problems].
func Open(path string) (*Campaign, error) {
	path = pathname.Expand(path)
	text, err := readBounded(path)
	if err != nil {
		return nil, err
	}
	c, problems := check(path, text)
	if problems != nil {
		return nil, problems
	}
	return c, nil
}

// check reads a campaign's text; its files are looked for beside path.
func check(path string, text []byte) (*Campaign, error) {
	folder := filepath.Dir(path)
	root, err := os.OpenRoot(folder)
	if err != nil {
		return nil, fmt.Errorf("campaign folder %s cannot be opened: %w", folder, err)
	}
	defer root.Close()
	c := &Campaign{Path: path, root: root, clocks: &together.Memory{}}
	problems := &collector{file: path}
	tree, p := parse(text)
	if p != nil {
		p.File = path
		return nil, Problems{p}
	}
	c.read(newReader(problems, tree, ""))
	c.root, c.Remarks = nil, problems.remarks
	if err := problems.err(); err != nil {
		return nil, err
	}
	return c, nil
}

// maxFileSize bounds a campaign file: one of this size is a log by mistake.
const maxFileSize = 512 << 10

// maxValues bounds what stands behind an equals sign: the decoder compares
// each key with all others of its table.
const maxValues = 10_000

// maxLine bounds a line: the decoder goes into a key of thousands of parts by
// as many calls, which takes a hundred times the key's memory and more.
const maxLine = 128 << 10

func readBounded(path string) ([]byte, error) {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("there is no campaign file %s%s; give the path of a .toml file, or start one from a folder of logs with campaign.Draft(folder)", path, pathname.Sought(path))
	case err != nil:
		return nil, fmt.Errorf("campaign file %s: %w", path, err)
	case info.IsDir():
		return nil, fmt.Errorf("%s is a folder; give the path of the campaign file in it, or start one with campaign.Draft(%q)", path, path)
	case !info.Mode().IsRegular(): // opening a pipe would wait for ever, a device never ends
		return nil, fmt.Errorf("%s is a pipe, a device or a socket; give the path of a campaign file", path)
	case info.Size() > maxFileSize:
		return nil, tooLarge(path)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("campaign file %s: %w", path, err)
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, maxFileSize+1)) // it may grow
	switch {
	case err != nil:
		return nil, fmt.Errorf("campaign file %s: %w", path, err)
	case len(text) > maxFileSize:
		return nil, tooLarge(path)
	case bytes.Count(text, []byte("=")) > maxValues:
		return nil, fmt.Errorf("%s has more than %d values, too many for a campaign file; is it a log?", path, maxValues)
	}
	n := 0
	for line := range bytes.Lines(text) {
		if n++; len(line) > maxLine {
			return nil, fmt.Errorf("%s:%d: the line has more than %d kB, too many for a campaign file; is it a log?", path, n, maxLine>>10)
		}
	}
	return text, nil
}

func tooLarge(path string) error {
	return fmt.Errorf("%s has more than %d kB, too many for a campaign file; is it a log?", path, maxFileSize>>10)
}

// Drive joins the files of the drive of that name. Where its clocks can't be
// told alone, those of the other drives are looked at, too: what they say
// together is taken ([drive.Together]), each of them joined by itself. [Campaign.Gather]
// may know more: of the drives that it was asked for it looks once more at all, with
// the clocks of those that could be joined only by the others, and notes which file is
// unlike the rest; for one drive that would mean to join all of them. The error names
// the drives that there are, or says which of its files cannot be used and why.
func (c *Campaign) Drive(name string) (*drive.Drive, error) {
	e, err := c.entry(name)
	if err != nil {
		return nil, err
	}
	drives, failed := c.assembleAll([]Entry{e})
	return drives[0], failed[0]
}

func (c *Campaign) entry(name string) (Entry, error) {
	var names []string
	for _, e := range c.Entries {
		if e.Name == name {
			return e, nil
		}
		names = append(names, e.Name)
	}
	return Entry{}, fmt.Errorf("%s has no drive %q; it has %s%s", c.Path, name, quoteAll(names), suggestion(name, names))
}

// Gather joins the drives of the given configurations in the order of the
// file; with no argument, all drives. A drive that can't be joined is left out,
// with the reason, and the others hold. It fails where a configuration is not
// in the file or is named twice.
func (c *Campaign) Gather(configurations ...string) (drive.Set, error) {
	wanted := map[string]bool{}
	for _, name := range configurations {
		if err := c.knownConfiguration(name); err != nil {
			return drive.Set{}, err
		}
		if wanted[name] {
			return drive.Set{}, fmt.Errorf("the configuration %q is named twice, and nothing can be compared with itself; %s has %s", name, c.Path, quoteAll(c.configurationNames()))
		}
		wanted[name] = true
	}
	var entries []Entry
	for _, e := range c.Entries {
		if len(wanted) == 0 || wanted[e.Configuration] {
			entries = append(entries, e)
		}
	}
	drives, failed := c.assembleAll(entries)
	var all drive.Set
	for i, e := range entries {
		if failed[i] != nil {
			all.LeftOut = append(all.LeftOut, drive.LeftOut{Drive: e.Name, Configuration: e.Configuration, Step: drive.Joining, Why: failed[i]})
			continue
		}
		all.Drives = append(all.Drives, drives[i])
	}
	oneLanguage(all.Drives)
	drive.CompareFiles(all.Drives)
	return all, nil
}

// Drives is [Campaign.Gather] with the drives left out as an error beside the
// others: a [drive.LeftOutError], which the notebook's Must shows and passes
// as long as one drive holds.
func (c *Campaign) Drives(configurations ...string) ([]*drive.Drive, error) {
	all, err := c.Gather(configurations...)
	if err != nil {
		return nil, err
	}
	return all.Drives, all.Err()
}

func (c *Campaign) configurationNames() []string {
	var names []string
	for _, k := range c.Configurations {
		names = append(names, k.Name)
	}
	return names
}

// Driven returns the names of the configurations that have a drive, in the order
// of the file.
func (c *Campaign) Driven() []string {
	return slices.DeleteFunc(c.configurationNames(), func(name string) bool {
		return !slices.ContainsFunc(c.Entries, func(e Entry) bool { return e.Configuration == name })
	})
}

func (c *Campaign) knownConfiguration(name string) error {
	names := c.configurationNames()
	if slices.Contains(names, name) {
		return nil
	}
	return fmt.Errorf("%s has no configuration %q; it has %s%s", c.Path, name, quoteAll(names), suggestion(name, names))
}

// ConfigurationOf returns the configuration of the drive of that name, empty
// where there is none.
func (c *Campaign) ConfigurationOf(drive string) string {
	for _, e := range c.Entries {
		if e.Name == drive {
			return e.Configuration
		}
	}
	return ""
}

// DriveNames returns the names of all drives in the order of the file.
func (c *Campaign) DriveNames() []string {
	var names []string
	for _, e := range c.Entries {
		names = append(names, e.Name)
	}
	return names
}

// String says in one line what the campaign holds, and lists the remarks below.
func (c *Campaign) String() string {
	text := fmt.Sprintf("%s: %s, %d configurations, %d devices, %d drives", c.Path, c.Car.Name, len(c.Configurations), len(c.Devices), len(c.Entries))
	return strings.Join(append([]string{text}, estimate.Texts(c.Remarks)...), "\n  ")
}
