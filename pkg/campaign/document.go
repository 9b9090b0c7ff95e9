package campaign

import (
	"errors"
	"slices"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"

	"github.com/bonnetbook/bonnetbook/pkg/campaign/internal/syntax"
)

// node is a TOML value that remembers its line. Exactly one of fields (a
// table), items (an array) and scalar is in use.
type node struct {
	line   int
	kind   unstable.Kind
	order  []string
	fields map[string]*node
	items  []*node
	scalar any // string, int64, float64 or bool
}

func newTable(line int) *node {
	return &node{line: line, kind: unstable.Table, fields: map[string]*node{}}
}

// parse reads a TOML document into nodes. The library's decoder runs first,
// because only it checks what the grammar alone does not: repeated keys, a
// table defined twice.
func parse(text []byte) (*node, *Problem) {
	text, unusable := syntax.Readable(text)
	if unusable != nil {
		return nil, unusable
	}
	if syntax.Empty(text) {
		return nil, &Problem{Line: 1, Message: "the file is empty, or holds comments only; a campaign has the parts [car], [engine], [[configuration]], [[device]] and [[drive]]; start one from a folder of logs with campaign.Draft(folder)"}
	}
	var ignored map[string]any
	if err := toml.Unmarshal(text, &ignored); err != nil {
		p := &Problem{Line: 1, Message: strings.TrimPrefix(err.Error(), "toml: ")}
		var de *toml.DecodeError
		if errors.As(err, &de) {
			p.Line, _ = de.Position()
			p.Key = strings.Join(de.Key(), ".")
		}
		p.Message += "; " + syntax.Advice(text, p.Line)
		return nil, p
	}
	root := newTable(1)
	current := root
	lines := linesOf(text)
	var parser unstable.Parser
	parser.Reset(text)
	for parser.NextExpression() {
		e := parser.Expression()
		switch e.Kind {
		case unstable.KeyValue:
			lines.addKeyValue(current, e)
		case unstable.Table:
			names, line := lines.keyOf(e)
			current = descend(root, names, line)
		case unstable.ArrayTable:
			names, line := lines.keyOf(e)
			parent := descend(root, names[:len(names)-1], line)
			last := names[len(names)-1]
			array := parent.child(last, &node{line: line, kind: unstable.Array})
			current = newTable(line)
			array.items = append(array.items, current)
		}
	}
	if err := parser.Error(); err != nil {
		return nil, &Problem{Line: 1, Message: err.Error()}
	}
	return root, nil
}

// lines are the offsets at which the lines of a text end. The parser's own way
// to a line goes through the text from its beginning each time.
type lines []int

func linesOf(text []byte) (l lines) {
	for i, c := range text {
		if c == '\n' {
			l = append(l, i)
		}
	}
	return l
}

// of returns the line of a place in the text.
func (l lines) of(at unstable.Range) int {
	before, _ := slices.BinarySearch(l, int(at.Offset))
	return before + 1
}

// keyOf returns the parts of a dotted key and its line.
func (l lines) keyOf(e *unstable.Node) (names []string, line int) {
	for it := e.Key(); it.Next(); {
		k := it.Node()
		if line == 0 {
			line = l.of(k.Raw)
		}
		names = append(names, string(k.Data))
	}
	return names, line
}

// child returns the field of that name, adding fresh if there is none.
func (n *node) child(name string, fresh *node) *node {
	if n.fields == nil {
		n.fields = map[string]*node{}
	}
	if have, ok := n.fields[name]; ok {
		return have
	}
	n.fields[name] = fresh
	n.order = append(n.order, name)
	return fresh
}

// descend walks down the names; an array of tables is entered at its last
// element, as TOML defines.
func descend(n *node, names []string, line int) *node {
	for _, name := range names {
		n = n.child(name, newTable(line))
		if len(n.items) > 0 {
			n = n.items[len(n.items)-1]
		}
	}
	return n
}

func (l lines) addKeyValue(table *node, e *unstable.Node) {
	names, line := l.keyOf(e)
	table = descend(table, names[:len(names)-1], line)
	table.child(names[len(names)-1], l.valueOf(e.Value(), line))
}

func (l lines) valueOf(v *unstable.Node, line int) *node {
	n := &node{line: line, kind: v.Kind}
	if v.Raw.Length > 0 {
		n.line = l.of(v.Raw)
	}
	data := string(v.Data)
	switch v.Kind {
	case unstable.InlineTable:
		n.fields = map[string]*node{}
		for it := v.Children(); it.Next(); {
			l.addKeyValue(n, it.Node())
		}
	case unstable.Array:
		for it := v.Children(); it.Next(); {
			n.items = append(n.items, l.valueOf(it.Node(), n.line))
		}
	case unstable.Integer:
		n.scalar, _ = strconv.ParseInt(data, 0, 64)
	case unstable.Float:
		n.scalar, _ = strconv.ParseFloat(strings.ReplaceAll(data, "_", ""), 64)
	case unstable.Bool:
		n.scalar = data == "true"
	default: // strings, and dates, which are read as the text that they are
		n.scalar = data
	}
	return n
}

// describe says in words what a value is.
func (n *node) describe() string {
	switch {
	case n.kind == unstable.Array:
		return "a list"
	case n.fields != nil:
		return "a table"
	}
	switch v := n.scalar.(type) {
	case string:
		return strconv.Quote(v)
	case int64:
		return "the number " + strconv.FormatInt(v, 10)
	case float64:
		return "the number " + strconv.FormatFloat(v, 'g', -1, 64)
	case bool:
		return strconv.FormatBool(v)
	}
	return "something else"
}
