package campaign

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"unicode"

	"github.com/bonnetbook/bonnetbook/pkg/campaign/internal/draft"
	"github.com/bonnetbook/bonnetbook/pkg/campaign/internal/survey"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
	"github.com/bonnetbook/bonnetbook/pkg/sensor"
)

// read fills c from the root table; problems are collected by t.
func (c *Campaign) read(t *table) {
	if s := t.sub("car", true, "a table [car]"); s != nil {
		c.readCar(s)
	}
	if s := t.sub("engine", false, "a table [engine]"); s != nil {
		c.readEngine(s)
	}
	if s := t.sub("units", false, "a table [units]"); s != nil {
		c.readUnits(s)
	}
	if s := t.sub("warm", false, "a table [warm]"); s != nil {
		c.readWarm(s)
	}
	c.readConfigurations(t)
	question := t.sub("question", false, "a table [question]")
	for _, s := range t.list("device", true) {
		c.readDevice(s)
	}
	c.readQuestion(question)
	c.checkIntakes(t)
	c.checkWarmRole(t)
	for _, s := range t.list("drive", true) {
		c.readDrive(s)
	}
	t.done()
}

func unique(t *table, what, name, other string) {
	if name == other && name != "" {
		t.problems.add(t.line("name"), t.key("name"), "there is already a %s %q; each needs a name of its own", what, name)
	}
}

// orZero turns the reader's NaN for "left out" into zero.
func orZero(x float64) float64 {
	if math.IsNaN(x) {
		return 0
	}
	return x
}

// The limits are wide: they catch a wrong unit or a slipped digit, not an
// unusual car.
func (c *Campaign) readCar(t *table) {
	c.Car = Car{
		Name:              t.text("name", true, "my saloon"),
		Note:              t.text("note", false, "free text"),
		Mass:              quantity.Mass(orZero(t.quantity("mass", false, quantity.KindMass, 100, 10000))),
		DragArea:          quantity.Area(orZero(t.quantity("drag-area", false, quantity.KindArea, 0.1, 10))),
		RollingResistance: orZero(t.number("rolling-resistance", false, "0.014", 0.001, 0.1)),
	}
	t.done()
}

func (c *Campaign) readEngine(t *table) {
	speed := func(name string) quantity.RotationalSpeed {
		return quantity.RotationalSpeed(orZero(t.quantity(name, false, quantity.KindRotationalSpeed, 5, 350)))
	}
	before := len(t.problems.list)
	e := engine.Description{
		Name:             t.text("name", false, "1.6 litre four"),
		Displacement:     quantity.Volume(orZero(t.quantity("displacement", false, quantity.KindVolume, 5e-5, 0.03))),
		Cylinders:        t.count("cylinders", false, "4", 1, 16),
		Bore:             quantity.Length(orZero(t.quantity("bore", false, quantity.KindLength, 0.02, 0.3))),
		Stroke:           quantity.Length(orZero(t.quantity("stroke", false, quantity.KindLength, 0.02, 0.3))),
		CompressionRatio: orZero(t.number("compression-ratio", false, "9.0", 3, 25)),
		RatedPower:       quantity.Power(orZero(t.quantity("rated-power", false, quantity.KindPower, 500, 2e6))),
		RatedPowerSpeed:  speed("rated-power-speed"),
		RatedTorque:      quantity.Torque(orZero(t.quantity("rated-torque", false, quantity.KindTorque, 1, 5000))),
		RatedTorqueSpeed: speed("rated-torque-speed"),
		Redline:          speed("redline"),
		Carburettors:     t.count("carburettors", false, "1", 1, 16),
		Ignition:         t.text("ignition", false, "contact breaker, 10 degrees before top dead centre"),
	}
	if k := t.quantity("thermostat", false, quantity.KindTemperature, 323.15, 393.15); !math.IsNaN(k) {
		e.Thermostat = quantity.Kelvin(k)
	}
	e.Carburettor = readPreparation(t)
	if text := t.text("lambda", false, "0.82 to 0.88"); text != "" {
		var err error
		if e.Lambda, err = engine.ParseLambda(text); err != nil {
			t.problems.add(t.line("lambda"), t.key("lambda"), "%v", err)
		}
	}
	c.Intakes = t.count("intakes", false, "2", 1, 9)
	if e.Carburettor == engine.Injection && t.has("carburettors") {
		t.problems.add(t.line("carburettors"), t.key("carburettors"), "an engine with injection has no carburettors; leave one of the two keys out")
	}
	c.AirCooled = t.choice("cooling", []string{"liquid", "air"}) == "air"
	if c.AirCooled && t.has("thermostat") {
		t.problems.add(t.line("thermostat"), t.key("thermostat"), "an engine that is cooled by air has no thermostat; leave one of the two keys out")
	}
	if len(t.problems.list) == before {
		t.problems.engine(t, e.Check())
	}
	t.done()
	c.Engine = e
}

// readPreparation reads how the mixture is made: mixture, or carburettor, its
// older and narrower name.
func readPreparation(t *table) engine.Carburettor {
	kinds := []string{engine.ConstantDepression.String(), engine.FixedJet.String()}
	old := t.choice("carburettor", kinds)
	now := t.choice("mixture", append(kinds, engine.Injection.String()))
	if t.has("carburettor") && t.has("mixture") {
		t.problems.add(t.line("mixture"), t.key("mixture"), "mixture and carburettor say the same thing; leave one of the two keys out")
	}
	kind, _ := engine.ParseCarburettor(cmp.Or(now, old)) // the choice has been checked
	return kind
}

// engine tells what is wrong with an engine, but for what is only not said.
func (c *collector) engine(t *table, err error) {
	all, many := err.(interface{ Unwrap() []error })
	if !many {
		return
	}
	for _, e := range all.Unwrap() {
		if !errors.Is(e, engine.ErrMissing) {
			c.add(t.node.line, t.path, "%s", strings.TrimPrefix(e.Error(), "engine: "))
		}
	}
}

func (c *Campaign) readDevice(t *table) {
	d := Device{Name: t.text("name", true, "logger A"), Note: t.text("note", false, "free text")}
	for _, other := range c.Devices {
		unique(t, "device", d.Name, other.Name)
	}
	d.Layout = c.readLayout(t)
	if s := t.text("time-zone", false, "+01:00"); s != "" {
		if err := draft.CheckZone(s); err != nil {
			t.problems.add(t.line("time-zone"), t.key("time-zone"), "%v", err)
		}
		if d.Layout.Zone != "" && d.Layout.Zone != s {
			t.problems.add(t.line("time-zone"), t.key("time-zone"), "the layout says zone = %q; which one counts? Leave one of them out", d.Layout.Zone)
		}
		d.Layout.Zone = s
	}
	d.Channels = readChannels(t)
	readCalibrations(t, d.Channels)
	t.done()
	c.Devices = append(c.Devices, d)
}

func readChannels(t *table) []ChannelRole {
	s := t.sub("channels", true, `a table [device.channels] with lines such as "1" = "ambient"`)
	if s == nil {
		return nil
	}
	var all []ChannelRole
	taken := map[drive.Role]string{}
	for _, column := range s.node.order {
		n := s.get(column, false, "")
		ch := ChannelRole{Column: column, line: n.line}
		text, ok := n.scalar.(string)
		name, spare := strings.CutPrefix(text, survey.SpareRole)
		role, err := drive.ParseRole(name)
		switch {
		case !ok:
			s.problems.add(n.line, s.key(column), "found %s where a role is wanted, such as \"intake\", or \"ignore\"", n.describe())
		case text == undecided:
			s.problems.add(n.line, s.key(column), "this needs you: which role does column %q play? One of %s, or \"ignore\"", column, strings.Join(roleNames(), ", "))
		case text == survey.Ignore:
		case err != nil:
			s.problems.add(n.line, s.key(column), "%v; or \"ignore\"", err)
		case spare:
			ch.Role, ch.Spare = role, true
		case taken[role] != "":
			s.problems.add(n.line, s.key(column), "columns %q and %q of this device both play %q; give one of them another role, or %q to keep it beside the other, or \"ignore\"%s", taken[role], column, role, survey.SpareRole+string(role), severalIntakes(role))
		default:
			taken[role] = column
			ch.Role = role
		}
		all = append(all, ch)
	}
	if len(s.node.order) == 0 {
		s.problems.add(s.node.line, s.path, "no column has a role; write lines such as \"1\" = \"ambient\"")
	}
	return all
}

// severalIntakes says what to write for an engine with several intakes.
func severalIntakes(role drive.Role) string {
	if role != drive.Intake {
		return ""
	}
	return "; an engine with several intakes has \"intake 1\", \"intake 2\", whose mean is the answer"
}

// roleNames lists the roles in alphabetical order.
func roleNames() []string {
	var all []string
	for _, r := range drive.Roles() {
		all = append(all, string(r))
	}
	return all
}

// Undecided stands in a draft where its reader has to decide.
const Undecided = survey.Undecided

const undecided = Undecided

func readCalibrations(t *table, channels []ChannelRole) {
	s := t.sub("calibration", false, `a table [device.calibration] with lines such as "2" = { offset = -0.6, uncertainty = 0.2 }`)
	if s == nil {
		return
	}
	var columns []string
	for _, ch := range channels {
		columns = append(columns, ch.Column)
	}
	for _, column := range s.node.order {
		line := s.sub(column, false, `{ offset = -0.6, uncertainty = 0.2 }`)
		if line == nil {
			continue
		}
		cal := sensor.Calibration{
			Offset:      quantity.TemperatureDifference(orZero(line.kelvins("offset", 20))),
			Gain:        orZero(line.number("gain", false, "1.0", 0.8, 1.25)),
			Uncertainty: quantity.TemperatureDifference(orZero(line.kelvins("uncertainty", 20))),
			Note:        line.text("note", false, "ice point, 3 May"),

			GainUncertainty: orZero(line.number("gain-uncertainty", false, "0.002", 0, 0.1)),
		}
		if k := line.quantity("about", false, quantity.KindTemperature, 200, 700); !math.IsNaN(k) {
			cal.About = quantity.Kelvin(k)
		}
		if cal.Uncertainty < 0 {
			line.problems.add(line.line("uncertainty"), line.key("uncertainty"), "an uncertainty cannot be negative")
		}
		line.done()
		i := slices.Index(columns, column)
		if i < 0 {
			s.problems.add(line.node.line, s.key(column), "there is no column %q among the channels of this device; they are %s%s", column, quoteAll(columns), suggestion(column, columns))
			continue
		}
		if dim, ok := channels[i].Role.Dimension(); ok && dim != quantity.KindTemperature && dim != quantity.KindTemperatureDifference {
			s.problems.add(line.node.line, s.key(column), "column %q plays %q, which is no temperature; only temperatures are calibrated", column, channels[i].Role)
			continue
		}
		channels[i].Calibration = cal
	}
}

// kelvins reads a temperature difference: a plain number in kelvin, or text
// with a unit.
func (t *table) kelvins(name string, limit float64) float64 {
	n := t.get(name, false, "")
	if n == nil {
		return math.NaN()
	}
	if _, isText := n.scalar.(string); isText {
		return t.quantityOf(n, name, quantity.KindTemperatureDifference, -limit, limit)
	}
	return t.number(name, false, "-0.6", -limit, limit)
}

// checkPath refuses paths that leave the campaign's folder and says why.
func (c *Campaign) checkPath(t *table, line int, key, path string) bool {
	local := filepath.FromSlash(path)
	switch {
	case strings.TrimSpace(path) == "":
		t.problems.add(line, key, "the path is empty")
	case filepath.IsAbs(local) || strings.HasPrefix(path, "/") || strings.Contains(path, `:\`):
		t.problems.add(line, key, "%q is an absolute path, which would not be found on another computer; copy the file into the campaign's folder (%s) and write its path from there", path, filepath.Dir(c.Path))
	case strings.Contains(path, `\`):
		t.problems.add(line, key, "%q has backslashes; write it with forward slashes, %q, so that it is found on every system", path, strings.ReplaceAll(path, `\`, "/"))
	case strings.ContainsFunc(path, unicode.IsControl):
		t.problems.add(line, key, "%q holds a sign that no file's name has: between quotation marks a backslash and the letter behind it make one (\\t, \\n); write folders with forward slashes", path)
	case !filepath.IsLocal(local):
		t.problems.add(line, key, "%q leaves the campaign's folder (%s); the logs of a campaign lie in that folder or below, so that it can be moved as a whole", path, filepath.Dir(c.Path))
	default:
		return c.checkExists(t, line, key, path)
	}
	return false
}

func (c *Campaign) checkExists(t *table, line int, key, path string) bool {
	for at, c := range path {
		if c == '/' && recording.IsArchive(path[:at]) { // a file in an archive; opening it looks whether it is there
			path = path[:at]
			break
		}
	}
	info, err := c.root.Stat(filepath.FromSlash(path))
	switch {
	case err != nil:
		t.problems.add(line, key, "%s", c.whyNotOpen(path, err))
		return false
	case info.IsDir():
		t.problems.add(line, key, "%q is a folder where a file is wanted; name the file in it, for example %q", path, path+"/log.csv")
		return false
	case !info.Mode().IsRegular(): // opening a pipe would wait for ever
		t.problems.add(line, key, "%q is a device or a pipe where a file is wanted; copy what it gives into an ordinary file", path)
		return false
	}
	f, err := c.root.Open(filepath.FromSlash(path))
	if err != nil {
		t.problems.add(line, key, "%s", c.whyNotOpen(path, err))
		return false
	}
	f.Close()
	return true
}

// whyNotOpen says why a file that the campaign names cannot be opened.
func (c *Campaign) whyNotOpen(path string, err error) string {
	folder := filepath.Dir(c.Path)
	link, _ := c.root.Lstat(filepath.FromSlash(path))
	switch {
	case errors.Is(err, fs.ErrPermission):
		return fmt.Sprintf("you may not read %q (%v); change its permissions, or copy it", path, fs.ErrPermission)
	case link != nil && link.Mode()&fs.ModeSymlink != 0 && errors.Is(err, fs.ErrNotExist):
		return fmt.Sprintf("%q is a link to a file that is not there; copy the log itself into the campaign's folder (%s)", path, folder)
	case link != nil && link.Mode()&fs.ModeSymlink != 0:
		return fmt.Sprintf("%q is a link that leads out of the campaign's folder (%s), or in a circle; copy the log itself into it", path, folder)
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Sprintf("there is no file %q in the campaign's folder (%s)%s; correct the name, or copy the log there", path, folder, suggestion(path, c.logNames(path)))
	}
	return fmt.Sprintf("%q in the campaign's folder (%s) cannot be opened: %v; copy it again", path, folder, err)
}
