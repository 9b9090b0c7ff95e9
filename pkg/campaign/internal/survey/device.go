package survey

import (
	"fmt"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Log is one readable file of the folder.
type Log struct {
	Path   string // as named in the folder
	Device string // the name that Devices gave
	Record *recording.Recording
	// Asked is what the file leaves open about its layout.
	Asked []Question
	// Columns is what had to be said of columns to read them.
	Columns   []recording.ColumnLayout
	signature string // equal for files of one device
}

// Device is a device and the roles of its columns, "?" where Undecided.
type Device struct {
	Name  string
	Zoned bool // its files know their time zone
	// Columns, Roles and Remarks are as many: what each column is called, the
	// role that it suggests, and what it holds.
	Columns, Roles, Remarks []string
	Asked                   []Question
	Named                   []recording.ColumnLayout
}

// Devices gives files with the same columns one device, and names it.
func Devices(logs []Log) []Device {
	var all []Device
	names := map[string]string{}
	letters, phones := 0, 0
	for i, l := range logs {
		if name, ok := names[l.signature]; ok {
			logs[i].Device = name
			k := slices.IndexFunc(all, func(d Device) bool { return d.Name == name })
			all[k].Asked = layoutQuestions(all[k].Asked, l.Asked)
			continue
		}
		name := ""
		if len(l.Record.OfDimension(series.Speed)) > 0 && len(l.Record.OfDimension(series.Temperature)) == 0 {
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
		logs[i].Device = name
		all = append(all, draftRoles(name, l))
	}
	return all
}

func draftRoles(name string, l Log) Device {
	r := l.Record
	d := Device{Name: name, Zoned: r.ZoneKnown, Asked: l.Asked, Named: l.Columns}
	unitOpen := slices.ContainsFunc(l.Asked, func(q Question) bool { return q.Key == "temperature_unit" })
	taken := map[string]bool{}
	for i, c := range r.Columns {
		column := c.Name
		if column == "" || slices.Contains(d.Columns, column) {
			column = fmt.Sprint(i + 1)
		}
		role := guessRole(c)
		if role != Undecided && role != "ignore" && taken[role] {
			role = "ignore"
		}
		taken[role] = true
		d.Columns = append(d.Columns, column)
		d.Roles = append(d.Roles, role)
		lo, hi := c.Series.MinMax(c.Series.Interval())
		remark := fmt.Sprintf("%v", c.Dimension)
		if c.Dimension == series.Temperature && c.Series.Present() > 0 && !unitOpen {
			remark += fmt.Sprintf(", %.1f to %v", quantity.Kelvin(lo).Celsius(), quantity.Kelvin(hi))
		}
		if c.Series.Present() == 0 {
			remark += ", no usable value"
		}
		d.Remarks = append(d.Remarks, remark)
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
	return Undecided
}

func guessRole(c *recording.Column) string {
	if c.Dimension == series.Temperature {
		if place := placeOf(c.Name); place != Undecided {
			return place
		}
		if c.Series.Present() == 0 {
			return "ignore"
		}
		return Undecided
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
