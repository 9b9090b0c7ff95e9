package draft

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/campaign/internal/survey"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
)

// write returns the text of the campaign file: a new one, or the one that is
// there with what is new. Its wording is what a beginner reads first.
func (s *Sketch) write(devices []*survey.Device, groups []survey.Drive, told *Told, answers *answers) string {
	if s.had {
		return s.update(devices, groups, told, answers)
	}
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	line("# A draft. Replace each \"?\"; the rest is a proposal to check.")
	line("# Quantities are text with a unit. Lines that begin with # are not read.")
	line("")
	line("[car]")
	line("name = \"my car\"")
	line("# mass = \"1050 kg\"              # as driven: with driver and fuel")
	line("")
	line("[engine]                        # may be left out; power and duct want it")
	for _, l := range [][2]string{{"displacement", "\"1598 cm3\""}, {"cylinders", "4"}, {"compression-ratio", "9.0"}, {"rated-power", "\"60 kW\"         # kW, hp (mechanical) or PS (metric)"},
		{"rated-power-speed", "\"5500 rpm\""}, {"carburettor", "\"constant-depression\"   # or \"fixed-jet\""}, {"thermostat", fmt.Sprintf("%-16s # stamped on it", s.quoted(quantity.KindTemperature, quantity.Celsius(82).Kelvin(), 2))}} {
		if v, ok := answers.keys["engine."+l[0]]; ok {
			line("%s = %s", l[0], v)
		} else {
			line("# %s = %s", l[0], l[1])
		}
	}
	for _, key := range rareKeys {
		if v, ok := answers.keys["engine."+key]; ok {
			line("%s = %s", key, v)
		}
	}
	if answers.has("warm.") {
		line("")
		line("[warm]                          # when the engine counts as warm")
		for _, key := range slices.Sorted(maps.Keys(answers.keys)) {
			if name, ok := strings.CutPrefix(key, "warm."); ok {
				line("%s = %s", name, answers.keys[key])
			}
		}
	}
	line("")
	line("# [units]                       # in which you read; without it, those of your files")
	line("# temperature = %q", typed(s.Units.Of(quantity.KindTemperature).Symbol()))
	line("# speed = %q", typed(s.Units.Of(quantity.KindSpeed).Symbol()))
	line("# pressure = %q", typed(s.Units.Of(quantity.KindPressure).Symbol()))
	line("")
	line("[question]                      # what is to be answered")
	for _, l := range [][2]string{{"primary", "\"road_middle\"       # the kind of driving that counts, declared before looking"},
		{"delta", fmt.Sprintf("%-21s # a difference that does not matter to you", s.quoted(quantity.KindTemperatureDifference, DefaultDelta, 2))}, {"mounting", "\"in place\"         # the intake's probe: or \"refitted\", \"exchanged\""}} {
		if v, ok := answers.keys["question."+l[0]]; ok {
			line("%s = %s", l[0], v)
		} else {
			line("# %s = %s", l[0], l[1])
		}
	}
	names := s.configurations(told)
	if len(names) == 0 {
		names = []string{"before", "after"}
	}
	for i, name := range names {
		line("")
		line("[[configuration]]%s", map[bool]string{true: "               # what is compared; rename them", false: ""}[i == 0])
		line("name = %q", name)
		if i == 0 {
			line("# For every configuration or for none:")
			line("# pressure-drop = \"900 Pa\"      # mouth, filter and hose at full throttle")
			line("# ethanol = \"5 to 10 %%\"         # of the fuel, if they ran on different ones")
			line("# bowl-temperature = %-12s # of the fuel in the float bowl at full throttle", s.quoted(quantity.KindTemperature, quantity.Celsius(40).Kelvin(), 2))
		}
	}
	for _, d := range devices {
		writeDevice(&b, d, answers.zones[d.Name])
	}
	for i, g := range groups {
		s.writeDrive(&b, i, g, answers)
	}
	for _, u := range s.Unused {
		line("")
		for _, l := range strings.Split("not used: "+u, "\n") {
			line("# %s", l)
		}
	}
	return b.String()
}

// written is a quantity as the file has it, in the owner's units; quoted has the
// quotation marks, too.
func (s *Sketch) written(kind quantity.Kind, si float64, digits int) string {
	return typed(quantity.Format(si, s.Units.Of(kind), digits))
}

func (s *Sketch) quoted(kind quantity.Kind, si float64, digits int) string {
	return strconv.Quote(s.written(kind, si, digits))
}

// typed spells degrees as every keyboard can.
func typed(unit string) string { return strings.ReplaceAll(unit, "°", "deg") }

func writeDevice(b *strings.Builder, d *survey.Device, zone string) {
	line := func(format string, args ...any) { fmt.Fprintf(b, format+"\n", args...) }
	line("")
	line("[[device]]")
	line("name = %q", d.Name)
	switch h := d.Clock.ZoneHours; {
	case zone != "":
		line("time-zone = %q", zone)
	case d.Zoned:
	case !math.IsNaN(h):
		line("time-zone = %q          # found from when the drives began and ended", hours(h))
	default:
		line("# time-zone = \"+01:00\"          # where this device's clock was set; the files do not say")
	}
	layout := layoutLines(d)
	if len(layout) > 0 {
		line("[device.layout]                 # what single files leave open")
		for _, l := range layout {
			line("%s", l)
		}
	}
	line("[device.channels]               # column = role")
	for _, c := range d.Columns {
		line("%s", channelLine(c))
	}
}

// hours writes a distance from UTC as a zone.
func hours(h float64) string { return fmt.Sprintf("%+03d:00", int(h)) }

func layoutLines(d *survey.Device) []string {
	var all []string
	if names := d.Temperatures(); len(names) > 0 {
		var named []string
		for _, n := range names {
			named = append(named, fmt.Sprintf("{ name = %q, holds = %q }", n, recording.HoldsTemperature))
		}
		all = append(all, fmt.Sprintf("columns = [%s]   # by their numbers", strings.Join(named, ", ")))
	}
	for _, key := range slices.Sorted(maps.Keys(d.Settled)) {
		all = append(all, fmt.Sprintf("%s = %q", key, d.Settled[key]))
	}
	for _, q := range d.Open {
		all = append(all, fmt.Sprintf("%s = \"?\"   # %s", q.Key, q.Text))
	}
	return all
}

func channelLine(c survey.Column) string {
	role := c.Role
	if c.Spare {
		role = survey.SpareRole + role
	}
	return fmt.Sprintf("%s = %q   # %s", strconv.Quote(c.Name), role, strings.ReplaceAll(c.Remark, "\n", " "))
}

func (s *Sketch) writeDrive(b *strings.Builder, i int, g survey.Drive, answers *answers) {
	d := s.Drives[i]
	line := func(format string, args ...any) { fmt.Fprintf(b, format+"\n", args...) }
	line("")
	line("[[drive]]")
	line("name = %q", d.Name)
	if d.Configuration == survey.Undecided {
		line("configuration = \"?\"            # \"before\" or \"after\"")
	} else {
		line("configuration = %q", d.Configuration)
	}
	if v := s.air[i+1]; v != "" {
		line("%s = %s", askAir, v)
	}
	if len(answers.weather) == 0 {
		line("# qnh = %-23s # from a weather station, with altitude; or pressure = at the car", s.quoted(quantity.KindPressure, 1015*float64(quantity.Hectopascal), 4))
		line("# altitude = \"300 m\"")
		line("# humidity = \"55 %%\"            # or dew-point, or wet-bulb")
	}
	for _, key := range slices.Sorted(maps.Keys(answers.weather)) {
		line("%s = %s", key, answers.weather[key])
	}
	for _, l := range fileLines(g.Pieces) {
		line("%s", l)
	}
}

// fileLines writes the pieces of a drive, those of one device together.
//
// A device that knows its zone comes first: its clock is then the drive's.
func fileLines(pieces []*survey.Piece) []string {
	var all []string
	pieces = slices.Clone(pieces)
	slices.SortStableFunc(pieces, func(a, b *survey.Piece) int {
		switch {
		case a.Device == b.Device || a.Device.Zoned == b.Device.Zoned:
			return 0
		case a.Device.Zoned:
			return -1
		}
		return 1
	})
	for i, p := range pieces {
		if slices.ContainsFunc(pieces[:i], func(o *survey.Piece) bool { return o.Device == p.Device }) && p.Session == 0 {
			continue
		}
		var names []string
		for _, o := range pieces[i:] {
			if o.Device == p.Device && o.Session == 0 && p.Session == 0 {
				names = append(names, strconv.Quote(o.Path))
			}
		}
		path := strconv.Quote(p.Path)
		if len(names) > 1 {
			path = "[" + strings.Join(names, ", ") + "]"
		}
		all = append(all, "[[drive.file]]", "path = "+path)
		if p.Session > 0 {
			all = append(all, fmt.Sprintf("session = %d                     # the file holds several", p.Session))
		}
		all = append(all, fmt.Sprintf("device = %q", p.Device.Name),
			"# clock-offset = \"0 s\"          # added to this file's times; left out: estimated")
	}
	return all
}
