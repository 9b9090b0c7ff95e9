package campaign

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
func (s *Sketch) update(devices []*survey.Device, groups []survey.Drive, told *told, answers *answers) string {
	ends := "\n"
	text := s.before
	if strings.Contains(text, "\r\n") {
		ends, text = "\r\n", strings.ReplaceAll(text, "\r\n", "\n")
	}
	e := &editor{lines: strings.Split(strings.TrimSuffix(text, "\n"), "\n"), inserts: map[int][]string{}}
	s.updateConfigurations(e, told)
	for _, d := range devices {
		s.updateDevice(e, d, told.devices[d.Name], answers)
	}
	for i, g := range groups {
		s.updateDrive(e, s.Drives[i], g, told, answers)
	}
	for _, key := range slices.Sorted(maps.Keys(answers.keys)) {
		updateKey(e, told.root, key, answers.keys[key])
	}
	return strings.ReplaceAll(e.text()+"\n", "\n", ends)
}

// updateConfigurations adds those that are new; names of a draft that no drive
// has are replaced.
func (s *Sketch) updateConfigurations(e *editor, told *told) {
	var fresh []string
	for _, name := range s.configurations(told) {
		if !slices.Contains(told.configurations, name) {
			fresh = append(fresh, name)
		}
	}
	last := 0
	for _, n := range told.root.items0("configuration") {
		name := n.fields["name"]
		last = max(last, e.endOf(n.line, "configuration"))
		used := slices.ContainsFunc(s.Drives, func(d DraftDrive) bool { return d.Configuration == n.string0("name") })
		if len(fresh) > 0 && !used && name != nil && slices.Contains([]string{"before", "after"}, n.string0("name")) {
			e.set(name.line, fmt.Sprintf("%q", fresh[0]))
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

func (s *Sketch) updateDevice(e *editor, d *survey.Device, n *node, answers *answers) {
	if n == nil {
		var b strings.Builder
		writeDevice(&b, d, answers.zones[d.Name])
		e.insert(len(e.lines), strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n")...)
		return
	}
	channels, layout := n.fields["channels"], n.fields["layout"]
	if channels != nil {
		for _, c := range d.Columns {
			role := c.Role
			if c.Spare {
				role = spareRole + role
			}
			switch f := channels.fields[c.Name]; {
			case f == nil && !mentioned(channels, c.Name, d):
				e.insert(channels.line, channelLine(c))
			case f != nil && (f.scalar == undecided || answers.roles[d.Name][c.Name] != "") && role != undecided:
				e.set(f.line, fmt.Sprintf("%q", role))
			}
		}
	}
	var missing []string
	for _, key := range slices.Sorted(maps.Keys(d.Settled)) {
		switch {
		case layout == nil || layout.fields == nil || layout.fields[key] == nil:
			missing = append(missing, fmt.Sprintf("%s = %q", key, d.Settled[key]))
		case layout.fields[key].scalar == undecided || answers.layout[d.Name][key] != "":
			e.set(layout.fields[key].line, fmt.Sprintf("%q", d.Settled[key]))
		}
	}
	for _, q := range d.Open {
		if layout == nil || layout.fields == nil || layout.fields[q.Key] == nil {
			missing = append(missing, fmt.Sprintf("%s = \"?\"   # %s", q.Key, q.Text))
		}
	}
	if len(missing) > 0 && (layout == nil || layout.fields != nil) {
		if layout != nil {
			e.insert(layout.line, missing...)
		} else if channels != nil {
			e.insert(channels.line-1, append([]string{"[device.layout]"}, missing...)...)
		}
	}
	if zone := answers.zones[d.Name]; zone != "" {
		if f := n.fields["time-zone"]; f != nil {
			e.set(f.line, fmt.Sprintf("%q", zone))
		} else if f := n.fields["name"]; f != nil {
			e.insert(f.line, fmt.Sprintf("time-zone = %q", zone))
		}
	}
}

// mentioned reports whether a file names a column in another way: by its
// number.
func mentioned(channels *node, column string, d *survey.Device) bool {
	at := slices.IndexFunc(d.Columns, func(c survey.Column) bool { return c.Name == column })
	for key := range channels.fields {
		if key == fmt.Sprint(at+1) || strings.EqualFold(key, column) {
			return true
		}
	}
	// A file that names some columns may leave the others out on purpose.
	return d.Columns[at].Role == survey.Ignore
}

func (s *Sketch) updateDrive(e *editor, d DraftDrive, g survey.Drive, told *told, answers *answers) {
	have := told.driveOf(g)
	if have == nil {
		var b strings.Builder
		s.writeDrive(&b, d, g, answers)
		e.insert(len(e.lines), strings.Split(strings.TrimSuffix(b.String(), "\n"), "\n")...)
		return
	}
	if f := have.node.fields["configuration"]; f != nil && d.Configuration != have.configuration {
		e.set(f.line, fmt.Sprintf("%q", d.Configuration))
	}
	end := e.endOf(have.node.line, "drive")
	var fresh []*survey.Piece
	for _, p := range g.Pieces {
		elsewhere := slices.ContainsFunc(told.drives, func(o *toldDrive) bool { _, ok := o.parts[partOf(p)]; return ok })
		if !elsewhere {
			fresh = append(fresh, p)
		}
	}
	if len(fresh) > 0 {
		e.insert(end, fileLines(fresh)...)
	}
	for _, key := range slices.Sorted(maps.Keys(answers.weather)) {
		if f := have.node.fields[key]; f != nil {
			e.set(f.line, answers.weather[key])
		} else if f := cmp.Or(have.node.fields["configuration"], have.node.fields["name"]); f != nil {
			e.insert(f.line, key+" = "+answers.weather[key])
		}
	}
}

// updateKey sets a key such as "question.delta".
func updateKey(e *editor, root *node, key, v string) {
	table, name, _ := strings.Cut(key, ".")
	n := root.fields[table]
	switch {
	case n == nil:
		heading := "[" + table + "]"
		if !slices.Contains(e.inserts[len(e.lines)], heading) {
			e.insert(len(e.lines), "", heading)
		}
		at := slices.Index(e.inserts[len(e.lines)], heading)
		e.inserts[len(e.lines)] = slices.Insert(e.inserts[len(e.lines)], at+1, name+" = "+v)
	case n.fields[name] != nil:
		e.set(n.fields[name].line, v)
	default:
		e.insert(n.line, name+" = "+v)
	}
}
