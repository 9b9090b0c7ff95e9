package campaign

import (
	"fmt"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/internal/spelling"
)

// RenamedKey is the kind of a remark on a key that was accepted under another
// name than its own.
const RenamedKey estimate.Kind = "renamed key"

// otherNames are the names that a key had before, or that layout files use for
// the same thing. They stay accepted.
var otherNames = map[string][]string{
	"time-zone": {"zone"},
}

// otherwise finds the key under another name: one of otherNames, or its own
// with the words joined otherwise (clock_offset). The value counts, and the
// name to write from now on is told.
func (t *table) otherwise(name string) (*node, bool) {
	for _, key := range t.node.order {
		if slices.Contains(t.allowed, key) && t.written[name] != key {
			continue
		}
		if !slices.Contains(otherNames[name], key) && spelling.Fold(key) != spelling.Fold(name) {
			continue
		}
		n := t.node.fields[key]
		if t.written[name] != key {
			if t.written == nil {
				t.written = map[string]string{}
			}
			t.written[name] = key
			t.allowed = append(t.allowed, key)
			t.problems.remark(RenamedKey, n.line, fmt.Sprintf("%s is accepted, but its name is %s: write that from now on", t.key(key), name))
		}
		return n, true
	}
	return nil, false
}

// remark keeps something to know about the file that is no problem.
func (c *collector) remark(kind estimate.Kind, line int, text string) {
	c.remarks = append(c.remarks, estimate.Warning{Kind: kind, Subject: fmt.Sprintf("%s:%d", c.file, line), Text: text})
}
