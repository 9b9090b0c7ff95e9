package campaign

import (
	"fmt"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// foundLog is one readable file of the folder.
type foundLog struct {
	path      string
	device    string
	record    *recording.Recording
	signature string // equal for files of one device
	asked     []question
	columns   []recording.ColumnLayout // what had to be said of columns to read them
}

// draftDevice is a device and the roles of its columns, "?" where undecided.
type draftDevice struct {
	name    string
	zoned   bool
	columns []string
	roles   []string
	remarks []string
	asked   []question
	named   []recording.ColumnLayout
}

// groupDevices gives files with the same columns one device, and names it.
func groupDevices(logs []foundLog) []draftDevice {
	var all []draftDevice
	names := map[string]string{}
	letters, phones := 0, 0
	for i, l := range logs {
		if name, ok := names[l.signature]; ok {
			logs[i].device = name
			k := slices.IndexFunc(all, func(d draftDevice) bool { return d.name == name })
			all[k].asked = layoutQuestions(all[k].asked, l.asked)
			continue
		}
		name := ""
		if len(l.record.OfDimension(series.Speed)) > 0 && len(l.record.OfDimension(series.Temperature)) == 0 {
			phones++
			name = "phone"
			if phones > 1 {
				name = fmt.Sprintf("phone %d", phones)
			}
		} else {
			name = "logger " + string(rune('A'+letters%26))
			letters++
		}
		names[l.signature] = name
		logs[i].device = name
		all = append(all, draftRoles(name, l))
	}
	return all
}

func draftRoles(name string, l foundLog) draftDevice {
	r := l.record
	d := draftDevice{name: name, zoned: r.ZoneKnown, asked: l.asked, named: l.columns}
	unitOpen := slices.ContainsFunc(l.asked, func(q question) bool { return q.key == "temperature_unit" })
	taken := map[string]bool{}
	for i, c := range r.Columns {
		column := c.Name
		if column == "" || slices.Contains(d.columns, column) {
			column = fmt.Sprint(i + 1)
		}
		role := guessRole(c)
		if role != undecided && role != "ignore" && taken[role] {
			role = "ignore"
		}
		taken[role] = true
		d.columns = append(d.columns, column)
		d.roles = append(d.roles, role)
		lo, hi := c.Series.MinMax(c.Series.Interval())
		remark := fmt.Sprintf("%v", c.Dimension)
		if c.Dimension == series.Temperature && c.Series.Present() > 0 && !unitOpen {
			remark += fmt.Sprintf(", %.1f to %v", quantity.Kelvin(lo).Celsius(), quantity.Kelvin(hi))
		}
		if c.Series.Present() == 0 {
			remark += ", no usable value"
		}
		d.remarks = append(d.remarks, remark)
	}
	return d
}

// roleWords are what people write into headers; the first match counts.
var roleWords = []struct {
	role  drive.Role
	words []string
}{
	{drive.RadiatorAir, []string{"radiator air", "radiator-air", "behind radiator"}},
	{drive.TopTank, []string{"top tank", "top-tank", "toptank", "top hose"}},
	{drive.BottomTank, []string{"bottom tank", "bottom-tank", "bottom hose"}},
	{drive.Coolant, []string{"coolant", "water"}},
	{drive.Intake, []string{"intake", "inlet", "air cleaner", "airbox", "filter"}},
	{drive.EngineBay, []string{"bay", "bonnet"}},
	{drive.Ambient, []string{"ambient", "outside", "outdoor"}},
}

// placeOf returns the role of a temperature that a name suggests.
func placeOf(name string) string {
	name = strings.ReplaceAll(strings.ToLower(name), "_", " ")
	for _, r := range roleWords {
		for _, w := range r.words {
			if strings.Contains(name, w) {
				return string(r.role)
			}
		}
	}
	return undecided
}

func guessRole(c *recording.Column) string {
	if c.Dimension == series.Temperature {
		if place := placeOf(c.Name); place != undecided {
			return place
		}
		if c.Series.Present() == 0 {
			return "ignore"
		}
		return undecided
	}
	lower := strings.ToLower(c.Name)
	switch {
	case c.Dimension == series.Speed:
		return string(drive.Speed)
	case c.Dimension == series.Angle && strings.HasPrefix(lower, "lat"):
		return string(drive.Latitude)
	case c.Dimension == series.Angle && (strings.HasPrefix(lower, "lon") || strings.HasPrefix(lower, "lng")):
		return string(drive.Longitude)
	case c.Dimension == series.Length && (strings.HasPrefix(lower, "alt") || strings.HasPrefix(lower, "ele")):
		return string(drive.Altitude)
	case c.Dimension == series.RotationalSpeed:
		return string(drive.EngineSpeed)
	case c.Dimension == series.RelativeHumidity:
		return string(drive.Humidity)
	case c.Dimension == series.Pressure && airPressure(c):
		return string(drive.Barometer)
	}
	return "ignore"
}

// airPressure reports whether a pressure is that of the outside air, by its
// name and its values: manifolds and oil have a pressure too.
func airPressure(c *recording.Column) bool {
	name := strings.ToLower(c.Name)
	named := slices.ContainsFunc([]string{"baro", "atmos", "ambient", "air pressure", "luftdruck", "station"}, func(w string) bool { return strings.Contains(name, w) })
	lo, hi := c.Series.MinMax(c.Series.Interval())
	return named && lo > 50000 && hi < 110000
}
