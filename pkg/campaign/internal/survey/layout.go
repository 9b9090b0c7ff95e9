package survey

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// readings puts a question of a file into words.
func readings(file string, a recording.Asked) string {
	var ways []string
	for _, r := range a.Readings {
		if _, value, ok := strings.Cut(r.Setting, " = "); ok {
			ways = append(ways, fmt.Sprintf("%s is %s", value, r.Meaning))
		}
	}
	return strings.ReplaceAll(fmt.Sprintf("%s, line %d, %s: %s", file, a.Line, a.What, strings.Join(ways, "; ")), "\n", " ")
}

// values lists the values that settle a question.
func values(a recording.Asked) []string {
	var all []string
	for _, r := range a.Readings {
		if _, value, ok := strings.Cut(r.Setting, " = "); ok {
			all = append(all, strings.Trim(value, `"`))
		}
	}
	return all
}

// Units decides, all files of a device together, what single files leave open
// beside the order of dates: where some files know, the others follow; else it
// is asked. answers gives values by key.
func (d *Device) Units(folder string, answers map[string]string) {
	asked := map[string][]*File{}
	var keys []string
	first := map[string]recording.Asked{}
	for _, f := range d.Files {
		for _, a := range f.ways[0].Asked {
			if a.Key == "date_order" {
				continue
			}
			if asked[a.Key] == nil {
				keys = append(keys, a.Key)
				first[a.Key] = a
			}
			asked[a.Key] = append(asked[a.Key], f)
		}
	}
	for _, key := range keys {
		value := answers[key]
		if value == "" && len(asked[key]) < len(d.Files) {
			value = d.known(key, asked[key])
		}
		if value != "" {
			d.settleKey(key, value)
			follow := asked[key]
			if key == timeKey { // what the layout says holds for all files of the device
				follow = d.Files
			}
			for _, f := range follow {
				f.readWith(folder, key, value)
			}
			continue
		}
		q := Question{Key: key, Text: readings(asked[key][0].Path, first[key]), Choices: values(first[key])}
		for _, f := range asked[key] {
			q.Files = append(q.Files, f.Path)
		}
		d.Open = append(d.Open, q)
	}
}

// ReadIn has the columns of all devices described in the same units: those that
// are chosen, else those of the files. It returns them.
func ReadIn(devices []*Device, chosen quantity.Preferred) quantity.Preferred {
	var all []*recording.Recording
	for _, d := range devices {
		if slices.ContainsFunc(d.Open, func(q Question) bool { return q.Key == "temperature_unit" || q.Key == "speed_unit" }) {
			continue
		}
		for _, f := range d.Files {
			all = append(all, f.ways[0].Recording)
		}
	}
	units := chosen.Or(drive.UnitsOf(all...))
	for _, d := range devices {
		d.Reads = units
	}
	return units
}

// known is what the files that do not ask were read with.
func (d *Device) known(key string, asked []*File) string {
	for _, f := range d.Files {
		l := f.ways[0].Recording.Layout
		if slices.Contains(asked, f) {
			continue
		}
		switch key {
		case "temperature_unit":
			if l.TemperatureUnit != "" {
				return l.TemperatureUnit
			}
			if u := unitOf(f, series.Temperature); u != "" {
				return u
			}
		case "speed_unit":
			if l.SpeedUnit != "" {
				return l.SpeedUnit
			}
			if u := unitOf(f, series.Speed); u != "" { // by the positions beside it
				return u
			}
		case timeKey:
			if l.TimeFormat != recording.ElapsedSeconds { // what is taken where nothing says otherwise
				return string(l.TimeFormat)
			}
		}
	}
	return ""
}

// unitOf is the unit in which a file's first column of a kind was read; empty
// where it has none.
func unitOf(f *File, kind series.Dimension) string {
	for _, c := range f.ways[0].Recording.Columns {
		if c.Dimension == kind && c.Series.Present() > 0 && c.Unit != "" {
			return c.Unit
		}
	}
	return ""
}

// readWith reads the file again with one more thing settled.
func (f *File) readWith(folder, key, value string) {
	l := recording.Layout{}
	switch key {
	case "temperature_unit":
		l.TemperatureUnit = value
	case "speed_unit":
		l.SpeedUnit = value
	case timeKey:
		l.TimeFormat = recording.TimeFormat(value)
	default:
		return
	}
	ways, err := f.memory.ways(filepath.Join(folder, filepath.FromSlash(f.Path)), f.archiveIn(folder), key, value, recording.Options{Layout: l, Workers: 1})
	if err == nil {
		f.ways = ways
	}
}
