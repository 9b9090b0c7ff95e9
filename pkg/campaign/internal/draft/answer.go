package draft

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/campaign/internal/survey"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/internal/spelling"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Answer answers one question of a draft.
type Answer struct{ ID, Value string }

// answers are the answers by what they are about.
type answers struct {
	layout        map[string]map[string]string // device, key
	roles         map[string]map[string]string // device, column
	zones         map[string]string            // device
	configuration string
	keys          map[string]string // "question.primary", "engine.cylinders": value as TOML
	weather       map[string]string
	air           string // the outside air's temperature by drive
}

// slug makes a part of an ID of a name.
func slug(name string) string {
	return strings.Map(func(r rune) rune {
		if r == '=' || r == ',' || r == '.' {
			return '-'
		}
		return r
	}, strings.Join(strings.Fields(name), "-"))
}

// layoutKinds are the kinds of questions by the layout's keys.
var layoutKinds = map[string]QuestionKind{"date_order": AskDateOrder, "temperature_unit": AskUnit, "speed_unit": AskUnit}

func layoutID(device, key string) string { return key + "." + slug(device) }

func roleID(device, column string) string { return "role." + slug(device) + "." + slug(column) }

func sortAnswers(given []Answer, devices []*survey.Device) (*answers, error) {
	a := &answers{layout: map[string]map[string]string{}, roles: map[string]map[string]string{}, zones: map[string]string{}, keys: map[string]string{}, weather: map[string]string{}}
	for _, d := range devices {
		a.layout[d.Name], a.roles[d.Name] = map[string]string{}, map[string]string{}
	}
	for _, g := range given {
		if err := a.sort(strings.TrimSpace(g.ID), strings.TrimSpace(g.Value), devices); err != nil {
			return nil, err
		}
	}
	return a, nil
}

func (a *answers) sort(id, value string, devices []*survey.Device) error {
	if value == "" {
		return fmt.Errorf("the answer to %q is empty; write %s=VALUE", id, id)
	}
	kind, rest, _ := strings.Cut(id, ".")
	if take, ok := ownKeys[QuestionKind(kind)]; ok && rest == "" {
		return take(a, value)
	}
	if id == string(AskConfiguration) {
		a.configuration = value
		return nil
	}
	known := []string{string(AskConfiguration)}
	done := false
	for _, d := range devices {
		for _, key := range d.Asks() {
			known = append(known, layoutID(d.Name, key))
			if id == layoutID(d.Name, key) || id == key {
				a.layout[d.Name][key] = value
				done = true
			}
		}
		known = append(known, "zone."+slug(d.Name))
		if id == "zone."+slug(d.Name) {
			if err := CheckZone(value); err != nil {
				return err
			}
			a.zones[d.Name] = value
			done = true
		}
		if kind != string(AskRole) {
			continue
		}
		for _, column := range d.ColumnNames() {
			known = append(known, roleID(d.Name, column))
			if id == roleID(d.Name, column) {
				if err := checkRole(value); err != nil {
					return fmt.Errorf("%s: %w", id, err)
				}
				a.roles[d.Name][column] = value
				done = true
			}
		}
		if id == "role."+slug(d.Name) {
			if err := a.manyRoles(d, value); err != nil {
				return fmt.Errorf("%s: %w", id, err)
			}
			done = true
		}
	}
	if !done {
		return fmt.Errorf("there is no question %q%s; the questions of a draft are named when it is made", id, spelling.Suggestion(id, known))
	}
	return nil
}

// manyRoles takes "T1=ambient,T2=intake".
func (a *answers) manyRoles(d *survey.Device, value string) error {
	for _, part := range strings.Split(value, ",") {
		name, role, ok := strings.Cut(part, "=")
		name, role = strings.TrimSpace(name), strings.TrimSpace(role)
		columns := d.ColumnNames()
		if k, err := strconv.Atoi(name); err == nil && k >= 1 && k <= len(columns) && !slices.Contains(columns, name) {
			name = columns[k-1]
		}
		if !ok || !slices.Contains(columns, name) {
			return fmt.Errorf("%q names no column of %s; write column=role, columns are %s", part, d.Name, spelling.QuoteAll(columns))
		}
		if err := checkRole(role); err != nil {
			return err
		}
		a.roles[d.Name][name] = role
	}
	return nil
}

func checkRole(role string) error {
	if role == survey.Ignore {
		return nil
	}
	if _, err := drive.ParseRole(strings.TrimPrefix(role, survey.SpareRole)); err != nil {
		return fmt.Errorf("%w; or %q", err, survey.Ignore)
	}
	return nil
}

func roleNames() []string {
	var names []string
	for _, r := range drive.Roles() {
		names = append(names, string(r))
	}
	return append(names, survey.Ignore)
}

// ownKeys take the answers to what a campaign can do without.
var ownKeys = map[QuestionKind]func(a *answers, value string) error{
	AskPrimary: func(a *answers, value string) error {
		a.keys["question.primary"] = strconv.Quote(value)
		return nil
	},
	AskDelta: func(a *answers, value string) error {
		if k, _, err := quantity.Parse(quantity.KindTemperatureDifference, value); err != nil || !(k > 0) {
			return fmt.Errorf("delta: %q is no difference of temperature; write one such as \"3 K\"", value)
		}
		a.keys["question.delta"] = strconv.Quote(value)
		return nil
	},
	AskMounting: func(a *answers, value string) error {
		if !slices.Contains(Mountings, value) {
			return fmt.Errorf("mounting: %q is none of %s", value, spelling.QuoteAll(Mountings))
		}
		a.keys["question.mounting"] = strconv.Quote(value)
		return nil
	},
	AskEngine: func(a *answers, value string) error {
		return keysOf(a.keys, "engine.", value, engineKeys)
	},
	askWarm: warmOf,
	askAir: func(a *answers, value string) error {
		a.air = value
		return nil
	},
	AskWeather: func(a *answers, value string) error {
		return keysOf(a.weather, "", value, []string{"pressure", "qnh", "altitude", "humidity", "dew-point", "wet-bulb", "air-temperature"})
	},
}

// engineKeys are those of the engine that an answer may have: those of which a new
// draft has an example, and rareKeys.
var engineKeys = append([]string{"displacement", "cylinders", "thermostat", "rated-power", "rated-power-speed", "compression-ratio"}, rareKeys...)

// rareKeys stand in a new draft only where they were answered.
var rareKeys = []string{"cooling", "mixture", "intakes", "rated-torque", "rated-torque-speed"}

// keysOf takes "displacement=1598 cm3,cylinders=4".
func keysOf(into map[string]string, prefix, value string, keys []string) error {
	for _, part := range strings.Split(value, ",") {
		key, v, ok := strings.Cut(part, "=")
		key, v = strings.TrimSpace(key), strings.TrimSpace(v)
		if !ok || !slices.Contains(keys, key) || v == "" {
			return fmt.Errorf("%q can't be used; write key=value with the keys %s, for example %s=…", part, strings.Join(keys, ", "), keys[0])
		}
		if _, err := strconv.ParseFloat(v, 64); err != nil {
			v = strconv.Quote(v)
		}
		into[prefix+key] = v
	}
	return nil
}

var driveSpan = regexp.MustCompile(`^(\d+)\s*(?:-|–|to)\s*(\d+)$`)

// configure gives the drives the configurations that an answer names: one
// name for all, or "1-3=open, 4-7=duct", see [Sketch.byDrive].
func (s *Sketch) configure(answer string) error {
	given, err := s.byDrive(string(AskConfiguration), answer, writeList)
	for i, name := range given {
		s.Drives[i-1].Configuration = name
	}
	return err
}

// byDrive takes an answer that says something of drives, by their numbers from 1:
// one value for all, or "1-3=open, 4-7=duct", where drives go by number or name,
// and several before one "=" are a list: "1,3,5-6=open". A drive that is given two
// values is an error; how says how to write it.
func (s *Sketch) byDrive(what, answer, how string) (map[int]string, error) {
	given := map[int]string{}
	if answer == "" {
		return given, nil
	}
	if !strings.Contains(answer, "=") {
		for i := range s.Drives {
			given[i+1] = answer
		}
		return given, nil
	}
	var waiting []string // parts of a list whose "=" is still to come
	for _, part := range strings.Split(answer, ",") {
		which, value, named := cutLast(part)
		waiting = append(waiting, which)
		if !named {
			continue
		}
		if value == "" || value == survey.Undecided {
			return nil, fmt.Errorf("%s: %q names no %s; %s", what, strings.TrimSpace(part), what, how)
		}
		for _, w := range waiting {
			from, to, err := s.drivesNamed(what, w, how)
			if err != nil {
				return nil, err
			}
			for i := from; i <= to; i++ {
				if other, twice := given[i]; twice && other != value {
					return nil, fmt.Errorf("%s: drive %d is given both %q and %q; name it once", what, i, other, value)
				}
				given[i] = value
			}
		}
		waiting = nil
	}
	if len(waiting) > 0 {
		return nil, fmt.Errorf("%s: nothing says what %s was driven with; %s", what, spelling.QuoteAll(waiting), how)
	}
	return given, nil
}

const writeList = "write drives=name, as 1-3=open,4-7=duct or 1,3,5=open,2,4=duct"

// cutLast cuts a part at its last "=", since a drive's name may have others.
func cutLast(part string) (before, after string, found bool) {
	at := strings.LastIndex(part, "=")
	if at < 0 {
		return strings.TrimSpace(part), "", false
	}
	return strings.TrimSpace(part[:at]), strings.TrimSpace(part[at+1:]), true
}

func (s *Sketch) drivesNamed(what, which, how string) (from, to int, err error) {
	if i := slices.IndexFunc(s.Drives, func(d Drive) bool { return d.Name == which }); i >= 0 {
		return i + 1, i + 1, nil
	}
	switch m := driveSpan.FindStringSubmatch(which); {
	case which == "":
		return 0, 0, fmt.Errorf("%s: a list has an empty place; %s", what, how)
	case which == "all":
		return 1, len(s.Drives), nil
	case m != nil:
		from, _ = strconv.Atoi(m[1])
		to, _ = strconv.Atoi(m[2])
	default:
		if from, err = strconv.Atoi(which); err != nil {
			return 0, 0, fmt.Errorf("%s: %q names no drive; use its number, 1 to %d, a span such as 1-3, a list such as 1,3,5, or its name", what, which, len(s.Drives))
		}
		to = from
	}
	if from > to {
		return 0, 0, fmt.Errorf("%s: the span %q runs backwards; write the smaller number first", what, which)
	}
	if from < 1 || to > len(s.Drives) {
		return 0, 0, fmt.Errorf("%s: there is no drive %q; they are numbered from 1 to %d", what, which, len(s.Drives))
	}
	return from, to, nil
}
