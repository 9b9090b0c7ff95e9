package draft

import (
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/campaign/internal/survey"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Told is what a campaign file that is there says, as far as it bears on a
// draft, with the lines on which it stands.
type Told struct {
	Configurations []Table
	Devices        map[string]*ToldDevice
	Drives         []*ToldDrive
	// Tables are the single ones, such as "question".
	Tables map[string]Table
}

// Value is what stands behind a key. Content is empty where it is no text.
type Value struct {
	Content string
	Line    int
}

// Table is a table of the file: the line of its head, and its keys.
type Table struct {
	Line int
	Keys map[string]Value
}

// Name is the text under "name".
func (t Table) Name() string { return t.Keys["name"].Content }

// ToldDevice is a device; Channels and Layout are nil where it has none, Layout
// too where it is the path of a file.
type ToldDevice struct {
	Table
	Channels, Layout *Table
	// LayoutElsewhere says that the layout is none of the file's tables.
	LayoutElsewhere bool
}

// ToldDrive is a drive; Parts gives the device by what of which file it has, as
// [survey.Part] names it.
type ToldDrive struct {
	Table
	Parts map[string]string
}

// configuration is what the drive was driven with, or "?".
func (d *ToldDrive) configuration() string { return d.Keys["configuration"].Content }

// names lists the configurations in order.
func (t *Told) names() []string {
	var all []string
	for _, c := range t.Configurations {
		all = append(all, c.Name())
	}
	return all
}

// zone is the time zone that the file gives to a device; empty for none.
func (t *Told) zone(device string) string {
	if d := t.Devices[device]; d != nil {
		return d.Keys["time-zone"].Content
	}
	return ""
}

// units are those that the file chooses to read in.
func (t *Told) units() quantity.Preferred {
	of := func(key string, kind quantity.Kind) quantity.Unit {
		u, err := quantity.Lookup(kind, t.Tables["units"].Keys[key].Content)
		if err != nil {
			return quantity.Unit{} // nothing chosen; what is wrong the campaign says
		}
		return u
	}
	return quantity.Preferred{Temperature: of("temperature", quantity.KindTemperature), Difference: of("difference", quantity.KindTemperatureDifference),
		Speed: of("speed", quantity.KindSpeed), Pressure: of("pressure", quantity.KindPressure)}.Matching()
}

// deviceOf returns the name that the file gives to the device of these files.
func (t *Told) deviceOf(d *survey.Device) string {
	for _, f := range d.Files {
		for _, e := range t.Drives {
			for part, device := range e.Parts {
				if part == f.Path || strings.HasPrefix(part, f.Path+", session ") {
					return device
				}
			}
		}
	}
	return ""
}

// driveOf returns the drive of the file that has a piece of the group.
func (t *Told) driveOf(g survey.Drive) *ToldDrive {
	for _, e := range t.Drives {
		for _, p := range g.Pieces {
			if _, ok := e.Parts[p.Part()]; ok {
				return e
			}
		}
	}
	return nil
}

// layout returns what the file settles of a device's layout.
func (t *Told) layout(device string) map[string]string {
	if d := t.Devices[device]; d != nil {
		return settled(d.Layout)
	}
	return map[string]string{}
}

// roles returns the roles that the file gives to a device's columns.
func (t *Told) roles(device string) map[string]string {
	if d := t.Devices[device]; d != nil {
		return settled(d.Channels)
	}
	return map[string]string{}
}

func settled(t *Table) map[string]string {
	all := map[string]string{}
	if t == nil {
		return all
	}
	for key, v := range t.Keys {
		if v.Content != "" && v.Content != survey.Undecided {
			all[key] = v.Content
		}
	}
	return all
}
