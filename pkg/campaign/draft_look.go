package campaign

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// foundLog is one readable file of the folder.
type foundLog struct {
	path      string
	device    string
	record    *recording.Recording
	signature string // equal for files of one device
}

func look(folder, name string) (foundLog, error) {
	r, err := recording.Open(filepath.Join(folder, name), recording.Options{})
	if err != nil {
		return foundLog{}, err
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%s", r.Format)
	for _, c := range r.Columns {
		fmt.Fprintf(&b, "|%s/%s", c.Name, c.Dimension)
	}
	return foundLog{path: name, record: r, signature: b.String()}, nil
}

// draftDevice is a device and the roles of its columns, "?" where undecided.
type draftDevice struct {
	name    string
	zoned   bool
	columns []string
	roles   []string
	remarks []string
}

// groupDevices gives files with the same columns one device, and names it.
func groupDevices(logs []foundLog) []draftDevice {
	var all []draftDevice
	names := map[string]string{}
	letters, phones := 0, 0
	for i, l := range logs {
		if name, ok := names[l.signature]; ok {
			logs[i].device = name
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
		all = append(all, draftRoles(name, l.record))
	}
	return all
}

func draftRoles(name string, r *recording.Recording) draftDevice {
	d := draftDevice{name: name, zoned: r.ZoneKnown}
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
		if c.Dimension == series.Temperature && c.Series.Present() > 0 {
			remark += fmt.Sprintf(", %.1f to %.1f °C", lo-273.15, hi-273.15)
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

func guessRole(c *recording.Column) string {
	if c.Dimension == series.Temperature {
		name := strings.ReplaceAll(strings.ToLower(c.Name), "_", " ")
		for _, r := range roleWords {
			for _, w := range r.words {
				if strings.Contains(name, w) {
					return string(r.role)
				}
			}
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
	}
	return "ignore"
}
