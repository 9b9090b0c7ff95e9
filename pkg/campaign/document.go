package campaign

import (
	"errors"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
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
	text, unusable := readable(text)
	if unusable != nil {
		return nil, unusable
	}
	if emptyFile(text) {
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
		p.Message += "; " + syntaxAdvice(text, p.Line)
		return nil, p
	}
	root := newTable(1)
	current := root
	var parser unstable.Parser
	parser.Reset(text)
	for parser.NextExpression() {
		e := parser.Expression()
		switch e.Kind {
		case unstable.KeyValue:
			addKeyValue(&parser, current, e)
		case unstable.Table:
			names, line := keyOf(&parser, e)
			current = descend(root, names, line)
		case unstable.ArrayTable:
			names, line := keyOf(&parser, e)
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

// keyOf returns the parts of a dotted key and its line.
func keyOf(p *unstable.Parser, e *unstable.Node) (names []string, line int) {
	for it := e.Key(); it.Next(); {
		k := it.Node()
		if line == 0 {
			line = p.Shape(k.Raw).Start.Line
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

func addKeyValue(p *unstable.Parser, table *node, e *unstable.Node) {
	names, line := keyOf(p, e)
	table = descend(table, names[:len(names)-1], line)
	table.child(names[len(names)-1], valueOf(p, e.Value(), line))
}

func valueOf(p *unstable.Parser, v *unstable.Node, line int) *node {
	n := &node{line: line, kind: v.Kind}
	if v.Raw.Length > 0 {
		n.line = p.Shape(v.Raw).Start.Line
	}
	data := string(v.Data)
	switch v.Kind {
	case unstable.InlineTable:
		n.fields = map[string]*node{}
		for it := v.Children(); it.Next(); {
			addKeyValue(p, n, it.Node())
		}
	case unstable.Array:
		for it := v.Children(); it.Next(); {
			n.items = append(n.items, valueOf(p, it.Node(), n.line))
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
