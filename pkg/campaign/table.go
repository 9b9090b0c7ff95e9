package campaign

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// table reads one TOML table key by key. Each method that asks for a key also
// makes it an allowed one; done reports every key that nobody asked for.
type table struct {
	problems *collector
	node     *node
	path     string
	allowed  []string
	written  map[string]string // keys found under another name, see otherwise
}

func newReader(c *collector, n *node, path string) *table {
	return &table{problems: c, node: n, path: path}
}

func (t *table) key(name string) string {
	if t.path == "" {
		return name
	}
	return t.path + "." + name
}

// get returns the value of the key, or nil; required says that a missing key
// is a problem.
func (t *table) get(name string, required bool, example string) *node {
	if !slices.Contains(t.allowed, name) {
		t.allowed = append(t.allowed, name)
	}
	n, ok := t.node.fields[name]
	if !ok {
		n, ok = t.otherwise(name)
	}
	if !ok {
		if required {
			t.problems.add(t.node.line, t.key(name), "this key is missing; write for example %s = %s%s", name, example, t.lookalike(name))
		}
		return nil
	}
	return n
}

// lookalike points from a missing key to a present one that was probably
// meant.
func (t *table) lookalike(name string) string {
	if s := suggestion(name, t.node.order); s != "" {
		return strings.Replace(s, "did you mean", "perhaps it is misspelt here as", 1)
	}
	return ""
}

// text reads a string.
func (t *table) text(name string, required bool, example string) string {
	n := t.get(name, required, fmt.Sprintf("%q", example))
	if n == nil {
		return ""
	}
	s, ok := n.scalar.(string)
	if !ok {
		t.problems.add(n.line, t.key(name), "found %s where text in quotation marks is wanted, for example %q", n.describe(), example)
		return ""
	}
	if required && strings.TrimSpace(s) == "" {
		t.problems.add(n.line, t.key(name), "the text is empty; write for example %q", example)
	}
	return s
}

// choice reads a string that must be one of the allowed ones.
func (t *table) choice(name string, options []string) string {
	s := t.text(name, false, options[0])
	if s != "" && !slices.Contains(options, s) {
		t.problems.add(t.line(name), t.key(name), "%q is not known; allowed are %s%s", s, quoteAll(options), suggestion(s, options))
		return ""
	}
	return s
}

// quantity reads a string with a unit and checks lo ≤ value ≤ hi, in SI units.
// It returns NaN where there is no usable value.
func (t *table) quantity(name string, required bool, k quantity.Kind, lo, hi float64) float64 {
	n := t.get(name, required, fmt.Sprintf("%q", k.Example()))
	if n == nil {
		return math.NaN()
	}
	return t.quantityOf(n, name, k, lo, hi)
}

func (t *table) quantityOf(n *node, name string, k quantity.Kind, lo, hi float64) float64 {
	s, ok := n.scalar.(string)
	if !ok {
		t.problems.add(n.line, t.key(name), "found %s where a %s with its unit in quotation marks is wanted, for example %q (units: %s)%s", n.describe(), k, k.Example(), k.UnitList(), meant(n.scalar, k))
		return math.NaN()
	}
	if s == undecided {
		t.problems.add(n.line, t.key(name), "this needs you: write the %s with its unit, for example %q", k, k.Example())
		return math.NaN()
	}
	x, unit, err := quantity.Parse(k, s)
	if err != nil {
		t.problems.add(n.line, t.key(name), "%v", err)
		return math.NaN()
	}
	if !(x >= lo && x <= hi) {
		t.problems.add(n.line, t.key(name), "%q is outside what is possible here, %s to %s; check number and unit", s, quantity.Format(lo, unit, 5), quantity.Format(hi, unit, 5))
		return math.NaN()
	}
	return x
}

// meant suggests what a number without quotation marks and unit may stand for.
func meant(scalar any, k quantity.Kind) string {
	var x float64
	switch v := scalar.(type) {
	case int64:
		x = float64(v)
	case float64:
		x = v
	default:
		return ""
	}
	var texts []string
	for _, u := range quantity.Plausible(k, x) {
		texts = append(texts, fmt.Sprintf("%q", quantity.Format(u.ToSI(x), u, 15)))
	}
	if len(texts) == 0 {
		return ""
	}
	return "; did you mean " + strings.Join(texts, " or ") + "?"
}

// number reads a plain number with lo ≤ value ≤ hi; NaN where there is none.
func (t *table) number(name string, required bool, example string, lo, hi float64) float64 {
	n := t.get(name, required, example)
	if n == nil {
		return math.NaN()
	}
	var x float64
	switch v := n.scalar.(type) {
	case int64:
		x = float64(v)
	case float64:
		x = v
	default:
		t.problems.add(n.line, t.key(name), "found %s where a plain number is wanted, for example %s", n.describe(), example)
		return math.NaN()
	}
	if !(x >= lo && x <= hi) {
		t.problems.add(n.line, t.key(name), "%g is outside what is possible here, %g to %g", x, lo, hi)
		return math.NaN()
	}
	return x
}

// role reads the name of a role; empty where there is none.
func (t *table) role(name string) drive.Role {
	s := t.text(name, false, "oil")
	if s == "" {
		return ""
	}
	r, err := drive.ParseRole(s)
	if err != nil {
		t.problems.add(t.line(name), t.key(name), "%v", err)
	}
	return r
}

// flag reads true or false; false where there is neither.
func (t *table) flag(name string) bool {
	n := t.get(name, false, "true")
	if n == nil {
		return false
	}
	yes, ok := n.scalar.(bool)
	if !ok {
		t.problems.add(n.line, t.key(name), "found %s where true or false is wanted, without quotation marks", n.describe())
	}
	return yes
}

// count reads a whole number with lo ≤ value ≤ hi; 0 where there is none.
func (t *table) count(name string, required bool, example string, lo, hi int) int {
	n := t.get(name, required, example)
	if n == nil {
		return 0
	}
	v, ok := n.scalar.(int64)
	if n.scalar == undecided {
		t.problems.add(n.line, t.key(name), "this needs you: write a whole number without quotation marks, for example %s = %s", name, example)
		return 0
	}
	if !ok {
		t.problems.add(n.line, t.key(name), "found %s where a whole number is wanted, for example %s", n.describe(), example)
		return 0
	}
	if v < int64(lo) || v > int64(hi) {
		t.problems.add(n.line, t.key(name), "%d is outside what is possible here, %d to %d", v, lo, hi)
		return 0
	}
	return int(v)
}

// sub returns a reader for the table under the key, or nil.
func (t *table) sub(name string, required bool, example string) *table {
	n := t.get(name, false, example)
	if n == nil {
		if required {
			t.problems.add(t.node.line, t.key(name), "this part is missing; add %s%s", example, t.lookalike(name))
		}
		return nil
	}
	if n.fields == nil || n.kind == unstable.Array {
		t.problems.add(n.line, t.key(name), "found %s where a table is wanted, for example %s", n.describe(), example)
		return nil
	}
	return newReader(t.problems, n, t.key(name))
}

// list returns a reader for each table of the array of tables under the key.
func (t *table) list(name string, required bool) []*table {
	n := t.get(name, false, "")
	if n == nil {
		if required {
			t.problems.add(t.node.line, t.key(name), "there is none; add at least one table that begins with the line [[%s]]", t.header(name))
		}
		return nil
	}
	if n.kind != unstable.Array {
		t.problems.add(n.line, t.key(name), "found %s where a list of tables is wanted; write the header with two brackets: [[%s]]", n.describe(), t.header(name))
		return nil
	}
	var all []*table
	for i, item := range n.items {
		path := fmt.Sprintf("%s[%d]", t.key(name), i+1)
		if item.fields == nil {
			t.problems.add(item.line, path, "found %s where a table is wanted", item.describe())
			continue
		}
		all = append(all, newReader(t.problems, item, path))
	}
	return all
}

// header is the name that stands between the brackets of an array of tables.
func (t *table) header(name string) string {
	if i := strings.IndexByte(t.path, '['); i >= 0 {
		return t.path[:i] + "." + name
	}
	return t.key(name)
}

// has reports whether the key is there, and makes it an allowed one.
func (t *table) has(name string) bool { return t.get(name, false, "") != nil }

func (t *table) line(name string) int {
	n, ok := t.node.fields[name]
	if !ok {
		n, ok = t.node.fields[t.written[name]]
	}
	if ok {
		return n.line
	}
	return t.node.line
}

// done reports the keys that nobody asked for.
func (t *table) done() {
	for _, name := range t.node.order {
		if slices.Contains(t.allowed, name) {
			continue
		}
		var free []string
		for _, a := range t.allowed {
			if _, taken := t.node.fields[a]; !taken {
				free = append(free, a)
			}
		}
		t.problems.add(t.node.fields[name].line, t.key(name), "this key is not known here%s; allowed are %s", suggestion(name, free), strings.Join(t.allowed, ", "))
	}
}
