package draft

import (
	"cmp"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/campaign/internal/survey"
)

// editor changes single lines of a text and leaves the rest as it is.
type editor struct {
	lines   []string
	inserts map[int][]string // behind that line, counted from 1
}

// value matches a key and its value on one line; what follows is a comment.
var value = regexp.MustCompile(`^(\s*(?:"[^"]*"|[\w-]+)\s*=\s*)("[^"]*"|[^\s#]+)(.*)$`)

// set replaces the value on a line.
func (e *editor) set(line int, v string) {
	if line >= 1 && line <= len(e.lines) {
		e.lines[line-1] = value.ReplaceAllString(e.lines[line-1], "${1}"+strings.ReplaceAll(v, "$", "$$")+"${3}")
	}
}

func (e *editor) insert(behind int, lines ...string) {
	e.inserts[behind] = append(e.inserts[behind], lines...)
}

func (e *editor) text() string {
	var out []string
	for i := 0; i <= len(e.lines); i++ {
		if i > 0 {
			out = append(out, e.lines[i-1])
		}
		out = append(out, e.inserts[i]...)
	}
	return strings.Join(out, "\n")
}

// endOf returns the last line of the table that begins on the given line with
// its sub-tables, without blank lines and remarks behind it.
func (e *editor) endOf(line int, name string) int {
	last := line
	for i := line + 1; i <= len(e.lines); i++ {
		text := strings.TrimSpace(e.lines[i-1])
		if strings.HasPrefix(text, "[") && !strings.HasPrefix(text, "["+name+".") && !strings.HasPrefix(text, "[["+name+".") && strings.Contains(text, "]") && isHeader(text) {
			break
		}
		if text != "" && !strings.HasPrefix(text, "#") {
			last = i
		}
	}
	return last
}

var header = regexp.MustCompile(`^\[\[?[\w."' -]+\]\]?\s*(#.*)?$`)

func isHeader(text string) bool { return header.MatchString(text) }

// update adds what is new to the file that is there and puts answers in their
// places. Everything else stays as its reader wrote it, remarks too.
func (s *Sketch) update(devices []*survey.Device, groups []survey.Drive, told *Told, answers *answers) string {
	ends := "\n"
	text := s.before
	if strings.Contains(text, "\r\n") {
		ends, text = "\r\n", strings.ReplaceAll(text, "\r\n", "\n")
	}
	e := &editor{lines: strings.Split(strings.TrimSuffix(text, "\n"), "\n"), inserts: map[int][]string{}}
	s.updateConfigurations(e, told)
	for _, d := range devices {
		s.updateDevice(e, d, told.Devices[d.Name], answers)
	}
	for i, g := range groups {
		s.updateDrive(e, i, g, told, answers)
	}
	for _, key := range slices.Sorted(maps.Keys(answers.keys)) {
		updateKey(e, told, key, answers.keys[key])
	}
	return strings.ReplaceAll(e.text()+"\n", "\n", ends)
}

// updateConfigurations adds those that are new; names of a draft that no drive
// has are replaced.
func (s *Sketch) updateConfigurations(e *editor, told *Told) {
	var fresh []string
	for _, name := range s.configurations(told) {
		if !slices.Contains(told.names(), name) {
			fresh = append(fresh, name)
		}
	}
	last := 0
	for _, n := range told.Configurations {
		last = max(last, e.endOf(n.Line, "configuration"))
		used := slices.ContainsFunc(s.Drives, func(d Drive) bool { return d.Configuration == n.Name() })
		if len(fresh) > 0 && !used && slices.Contains([]string{"before", "after"}, n.Name()) {
			e.set(n.Keys["name"].Line, fmt.Sprintf("%q", fresh[0]))
			fresh = fresh[1:]
		}
	}
	if last == 0 {
		last = len(e.lines)
	}
	for _, name := range fresh {
		e.insert(last, "", "[[configuration]]", fmt.Sprintf("name = %q", name))
	}
}

func (s *Sketch) updateDevice(e *editor, d *survey.Device, n *ToldDevice, answers *answers) {
	if n == nil {
		var b strings.Builder
		writeDevice(&b, d, answers.zones[d.Name])
		e.insert(len(e.lines), strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n")...)
		return
	}
	if n.Channels != nil {
		updateChannels(e, d, n.Channels, answers.roles[d.Name])
	}
	updateLayout(e, d, n, answers.layout[d.Name])
	if zone := answers.zones[d.Name]; zone != "" {
		if f, there := n.Keys["time-zone"]; there {
			e.set(f.Line, fmt.Sprintf("%q", zone))
		} else {
			e.insert(n.Keys["name"].Line, fmt.Sprintf("time-zone = %q", zone))
		}
	}
}

func updateChannels(e *editor, d *survey.Device, channels *Table, answered map[string]string) {
	for _, c := range d.Columns {
		role := c.Role
		if c.Spare {
			role = survey.SpareRole + role
		}
		switch f, there := channels.Keys[c.Name]; {
		case !there && !mentioned(channels, c.Name, d):
			e.insert(channels.Line, channelLine(c))
		case there && (f.Content == survey.Undecided || answered[c.Name] != "") && role != survey.Undecided:
			e.set(f.Line, fmt.Sprintf("%q", role))
		}
	}
}

func updateLayout(e *editor, d *survey.Device, n *ToldDevice, answered map[string]string) {
	layout := n.Layout
	var missing []string
	for _, key := range slices.Sorted(maps.Keys(d.Settled)) {
		switch f, there := layout.key(key); {
		case !there:
			missing = append(missing, fmt.Sprintf("%s = %q", key, d.Settled[key]))
		case f.Content == survey.Undecided || answered[key] != "":
			e.set(f.Line, fmt.Sprintf("%q", d.Settled[key]))
		}
	}
	for _, q := range d.Open {
		if _, there := layout.key(q.Key); !there {
			missing = append(missing, fmt.Sprintf("%s = \"?\"   # %s", q.Key, q.Text))
		}
	}
	switch {
	case len(missing) == 0 || n.LayoutElsewhere:
	case layout != nil:
		e.insert(layout.Line, missing...)
	case n.Channels != nil:
		e.insert(n.Channels.Line-1, append([]string{"[device.layout]"}, missing...)...)
	}
}

// mentioned reports whether a file names a column in another way: by its
// number.
func mentioned(channels *Table, column string, d *survey.Device) bool {
	at := slices.IndexFunc(d.Columns, func(c survey.Column) bool { return c.Name == column })
	for key := range channels.Keys {
		if key == fmt.Sprint(at+1) || strings.EqualFold(key, column) {
			return true
		}
	}
	// A file that names some columns may leave the others out on purpose.
	return d.Columns[at].Role == survey.Ignore
}

func (s *Sketch) updateDrive(e *editor, i int, g survey.Drive, told *Told, answers *answers) {
	d := s.Drives[i]
	have := told.driveOf(g)
	if have == nil {
		var b strings.Builder
		s.writeDrive(&b, i, g, answers)
		e.insert(len(e.lines), strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n")...)
		return
	}
	if f, there := have.Keys["configuration"]; there && d.Configuration != have.configuration() {
		e.set(f.Line, fmt.Sprintf("%q", d.Configuration))
	}
	end := e.endOf(have.Line, "drive")
	var fresh []*survey.Piece
	for _, p := range g.Pieces {
		elsewhere := slices.ContainsFunc(told.Drives, func(o *ToldDrive) bool { _, ok := o.Parts[p.Part()]; return ok })
		if !elsewhere {
			fresh = append(fresh, p)
		}
	}
	if len(fresh) > 0 {
		e.insert(end, fileLines(fresh)...)
	}
	set := func(key, v string) {
		if f, there := have.Keys[key]; there {
			e.set(f.Line, v)
		} else {
			e.insert(cmp.Or(have.Keys["configuration"].Line, have.Keys["name"].Line), key+" = "+v)
		}
	}
	for _, key := range slices.Sorted(maps.Keys(answers.weather)) {
		set(key, answers.weather[key])
	}
	if v := s.air[i+1]; v != "" {
		set(askAir, v)
	}
}

// updateKey sets a key such as "question.delta".
func updateKey(e *editor, told *Told, key, v string) {
	table, name, _ := strings.Cut(key, ".")
	n, there := told.Tables[table]
	f, known := n.Keys[name]
	switch {
	case !there:
		heading := "[" + table + "]"
		if !slices.Contains(e.inserts[len(e.lines)], heading) {
			e.insert(len(e.lines), "", heading)
		}
		at := slices.Index(e.inserts[len(e.lines)], heading)
		e.inserts[len(e.lines)] = slices.Insert(e.inserts[len(e.lines)], at+1, name+" = "+v)
	case known:
		e.set(f.Line, v)
	default:
		e.insert(n.Line, name+" = "+v)
	}
}

// key looks a key up in a table that may not be there.
func (t *Table) key(name string) (Value, bool) {
	if t == nil {
		return Value{}, false
	}
	v, there := t.Keys[name]
	return v, there
}
