package campaign

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/campaign/internal/survey"
)

// writeDraft writes the campaign file's text. Its wording is what a beginner
// reads first.
func writeDraft(devices []survey.Device, drives [][]survey.Log, unused []string) string {
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	line("# A draft. Replace each \"?\"; the rest is a proposal to check.")
	line("# Quantities are text with a unit. Lines that begin with # are not read.")
	line("")
	line("[car]")
	line("name = \"my car\"")
	line("# mass = \"1050 kg\"              # as driven: with driver and fuel")
	line("")
	line("[engine]")
	line("displacement = \"?\"             # for example \"1598 cm3\"")
	line("cylinders = \"?\"                # for example 4, without quotation marks")
	line("# compression-ratio = 9.0")
	line("# rated-power = \"60 kW\"         # kW, hp (mechanical) or PS (metric)")
	line("# rated-power-speed = \"5500 rpm\"")
	line("# carburettor = \"constant-depression\"   # or \"fixed-jet\"")
	line("# thermostat = \"82 degC\"        # stamped on it")
	line("")
	line("[[configuration]]               # what is compared; rename them")
	line("name = \"before\"")
	line("[[configuration]]")
	line("name = \"after\"")
	for _, d := range devices {
		line("")
		line("[[device]]")
		line("name = %q", d.Name)
		if !d.Zoned {
			line("# time-zone = \"+01:00\"          # where this device's clock was set; the files do not say")
		}
		if len(d.Asked)+len(d.Named) > 0 {
			line("[device.layout]                 # what the files leave open")
			if len(d.Named) > 0 {
				var named []string
				for _, c := range d.Named {
					named = append(named, fmt.Sprintf("{ name = %q, holds = %q }", c.Name, c.Holds))
				}
				line("columns = [%s]   # by their names", strings.Join(named, ", "))
			}
			for _, q := range d.Asked {
				line("%s = \"?\"   # %s", q.Key, q.Text)
			}
		}
		line("[device.channels]               # column = role")
		for i, c := range d.Columns {
			line("%s = %q   # %s", strconv.Quote(c), d.Roles[i], d.Remarks[i])
		}
	}
	names := map[string]int{}
	for i, files := range drives {
		r := files[0].Record
		name := fmt.Sprintf("drive %d", i+1)
		if r.Dated {
			name = r.Start.Format("2006-01-02 15:04")
		}
		if names[name]++; names[name] > 1 {
			name = fmt.Sprintf("%s (%d)", name, names[name])
		}
		line("")
		line("[[drive]]")
		line("name = %q", name)
		line("configuration = \"?\"            # \"before\" or \"after\"")
		line("# qnh = \"1015 hPa\"              # from a weather station, with altitude; or pressure = at the car")
		line("# altitude = \"300 m\"")
		line("# humidity = \"55 %%\"            # or dew-point, or wet-bulb")
		for _, f := range files {
			line("[[drive.file]]")
			line("path = %q", f.Path)
			line("device = %q", f.Device)
			line("# clock-offset = \"0 s\"          # added to this file's times; left out: estimated")
		}
	}
	for _, u := range unused {
		line("")
		for _, l := range strings.Split("not used: "+u, "\n") {
			line("# %s", l)
		}
	}
	return b.String()
}
