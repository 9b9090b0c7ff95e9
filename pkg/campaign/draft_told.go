package campaign

import (
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/campaign/internal/survey"
)

// told is what a campaign file that is there says, as far as it bears on a
// draft. A file that can't be opened yet, for a "?" in it, can be read for that.
type told struct {
	root    *node
	devices map[string]*node
	drives  []*toldDrive
	zones   map[string]string
	// configurations are those of the file, in order.
	configurations []string
}

type toldDrive struct {
	name, configuration string
	node                *node
	parts               map[string]string // what of which file, and its device
}

// toldBy reads the text; an empty one says nothing. It fails where the text is
// no TOML.
func toldBy(path, text string) (*told, error) {
	t := &told{root: newTable(1), devices: map[string]*node{}, zones: map[string]string{}}
	if strings.TrimSpace(text) == "" {
		return t, nil
	}
	root, p := parse([]byte(text))
	if p != nil {
		p.File = path
		return nil, Problems{p}
	}
	t.root = root
	for _, n := range root.items0("device") {
		name := n.string0("name")
		t.devices[name] = n
		if zone := n.string0("time-zone"); zone != "" {
			t.zones[name] = zone
		}
	}
	for _, n := range root.items0("configuration") {
		t.configurations = append(t.configurations, n.string0("name"))
	}
	for _, n := range root.items0("drive") {
		d := &toldDrive{name: n.string0("name"), configuration: n.string0("configuration"), node: n, parts: map[string]string{}}
		for _, f := range n.items0("file") {
			session := 0
			if s := f.fields["session"]; s != nil {
				if k, ok := s.scalar.(int64); ok {
					session = int(k)
				}
			}
			for _, p := range f.strings0("path") {
				d.parts[File{Session: session}.part(p)] = f.string0("device")
			}
		}
		t.drives = append(t.drives, d)
	}
	return t, nil
}

// items0 returns the tables under a key; none where it is something else.
func (n *node) items0(key string) []*node {
	if c := n.fields[key]; c != nil {
		return c.items
	}
	return nil
}

// string0 returns the text under a key, empty where it is something else.
func (n *node) string0(key string) string {
	if c := n.fields[key]; c != nil {
		if s, ok := c.scalar.(string); ok {
			return s
		}
	}
	return ""
}

// strings0 returns the text or the list of texts under a key.
func (n *node) strings0(key string) []string {
	c := n.fields[key]
	if c == nil {
		return nil
	}
	if s, ok := c.scalar.(string); ok {
		return []string{s}
	}
	var all []string
	for _, i := range c.items {
		if s, ok := i.scalar.(string); ok {
			all = append(all, s)
		}
	}
	return all
}

// partOf names what of a file a piece is, as [File.part] does.
func partOf(p *survey.Piece) string { return File{Session: p.Session}.part(p.Path) }

// deviceOf returns the name that the file gives to the device of these files.
func (t *told) deviceOf(d *survey.Device) string {
	for _, f := range d.Files {
		for _, e := range t.drives {
			for part, device := range e.parts {
				if part == f.Path || strings.HasPrefix(part, f.Path+", session ") {
					return device
				}
			}
		}
	}
	return ""
}

// driveOf returns the drive of the file that has a piece of the group.
func (t *told) driveOf(g survey.Drive) *toldDrive {
	for _, e := range t.drives {
		for _, p := range g.Pieces {
			if _, ok := e.parts[partOf(p)]; ok {
				return e
			}
		}
	}
	return nil
}

// layout returns what the file settles of a device's layout.
func (t *told) layout(device string) map[string]string {
	return t.settled(device, "layout")
}

// roles returns the roles that the file gives to a device's columns.
func (t *told) roles(device string) map[string]string {
	return t.settled(device, "channels")
}

func (t *told) settled(device, table string) map[string]string {
	all := map[string]string{}
	n := t.devices[device]
	if n == nil || n.fields[table] == nil {
		return all
	}
	for key := range n.fields[table].fields {
		if s := n.fields[table].string0(key); s != "" && s != undecided {
			all[key] = s
		}
	}
	return all
}
