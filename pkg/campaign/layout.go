package campaign

import (
	"fmt"
	"path/filepath"
	"reflect"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"github.com/bonnetbook/bonnetbook/pkg/recording"
)

// readLayout reads how a device's files are laid out: "auto", the path of a
// layout file in the campaign's folder, or a table with the keys of
// [recording.Layout].
func (c *Campaign) readLayout(t *table) recording.Layout {
	n := t.get("layout", false, `"auto"`)
	switch {
	case n == nil || n.scalar == "auto" || n.scalar == "":
		return recording.Layout{}
	case n.fields != nil:
		return readLayoutTable(newReader(t.problems, n, t.key("layout")))
	}
	path, ok := n.scalar.(string)
	if !ok {
		t.problems.add(n.line, t.key("layout"), `found %s; write "auto", the path of a layout file, or a table [device.layout]`, n.describe())
		return recording.Layout{}
	}
	if !c.checkPath(t, n.line, t.key("layout"), path) {
		return recording.Layout{}
	}
	l, err := recording.Load(c.join(path))
	if err != nil {
		t.problems.add(n.line, t.key("layout"), "%v", err)
	}
	return l
}

func (c *Campaign) join(path string) string {
	return filepath.Join(filepath.Dir(c.Path), filepath.FromSlash(path))
}

// readLayoutTable decodes the table key by key, so that each problem is told
// with its own line.
func readLayoutTable(t *table) recording.Layout {
	var l recording.Layout
	t.allowed = tomlKeys(reflect.TypeFor[recording.Layout]())
	for _, name := range t.node.order {
		n := t.node.fields[name]
		if known := strings.Contains(" "+strings.Join(t.allowed, " ")+" ", " "+name+" "); !known {
			continue // done reports it
		}
		if n.scalar == undecided {
			t.problems.add(n.line, t.key(name), "this needs you: the files leave it open, see the remark behind it; write %s%s", name, layoutAnswers[name])
			continue
		}
		if name == "columns" {
			checkColumnKeys(t, n)
		}
		text, err := toml.Marshal(map[string]any{name: plain(n)})
		if err == nil {
			err = toml.Unmarshal(text, &l)
		}
		if err != nil {
			t.problems.add(n.line, t.key(name), "%s cannot be used here: %s", n.describe(), strings.TrimPrefix(err.Error(), "toml: "))
		}
	}
	t.done()
	if err := l.Check(); err != nil {
		t.problems.add(t.node.line, t.path, "%v", err)
	}
	return l
}

// layoutAnswers are the answers to what logs leave open most often.
var layoutAnswers = map[string]string{
	"date_order":       ` = "dmy" where the day comes first, "mdy" where the month does, "ymd" where the year does`,
	"temperature_unit": ` = "°C", "°F" or "K"`,
	"speed_unit":       ` = "km/h", "m/s", "mph" or "kn"`,
	"time_format":      ` = "elapsed s", "elapsed ms" or another that the remark behind it names`,
	"sheet":            ` = the name of the worksheet`,
}

func checkColumnKeys(t *table, n *node) {
	for i, item := range n.items {
		if item.fields == nil {
			continue
		}
		s := newReader(t.problems, item, fmt.Sprintf("%s[%d]", t.key("columns"), i+1))
		s.allowed = tomlKeys(reflect.TypeFor[recording.ColumnLayout]())
		s.done()
	}
}

// tomlKeys returns the keys that a struct's toml tags name, in order.
func tomlKeys(t reflect.Type) []string {
	var keys []string
	for i := range t.NumField() {
		name, _, _ := strings.Cut(t.Field(i).Tag.Get("toml"), ",")
		if name != "" && name != "-" {
			keys = append(keys, name)
		}
	}
	return keys
}

// plain returns the value without its positions.
func plain(n *node) any {
	switch {
	case n.fields != nil && n.scalar == nil && n.items == nil:
		m := map[string]any{}
		for name, f := range n.fields {
			m[name] = plain(f)
		}
		return m
	case n.scalar == nil:
		list := make([]any, len(n.items))
		for i, item := range n.items {
			list[i] = plain(item)
		}
		return list
	}
	return n.scalar
}
