package help

import (
	"cmp"
	"go/token"
	"go/types"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
)

// mostWithoutPrefix limits a list for which nothing is typed yet: nobody
// reads further, and one letter brings up the rest.
const mostWithoutPrefix = 80

// candidates collects matches with a rank; smaller is better.
type candidates struct {
	prefix string
	// before is put before every match.
	before string
	// most is how many are kept; 0 keeps all.
	most int
	list []candidate
	seen map[string]bool
}

// candidate is a match, or an object that becomes one if it is kept.
type candidate struct {
	execution.Match
	obj  types.Object
	from *types.Package
	rank int
	// declared orders names of the notebook by their age; 0 for all others.
	declared token.Pos
}

// expect makes room for n candidates.
func (c *candidates) expect(n int) {
	c.list = slices.Grow(c.list, n)
	if c.seen == nil {
		c.seen = make(map[string]bool, n)
	}
}

func (c *candidates) len() int { return len(c.list) }

func (c *candidates) has(text string) bool { return c.seen[text] }

// fits reports whether a text begins with the prefix, in whatever case.
func (c *candidates) fits(text string) bool {
	return len(text) >= len(c.prefix) && strings.EqualFold(text[:len(c.prefix)], c.prefix)
}

// add takes a match that begins with the prefix, in whatever case.
func (c *candidates) add(m execution.Match, rank int) {
	c.take(candidate{Match: m, rank: rank})
}

// force takes a match whatever the prefix.
func (c *candidates) force(m execution.Match, rank int) {
	c.put(candidate{Match: m, rank: rank})
}

// object takes an object whose name begins with the prefix.
func (c *candidates) object(obj types.Object, rank int, from *types.Package) {
	m := candidate{Match: execution.Match{Text: obj.Name()}, obj: obj, from: from, rank: rank}
	if from != nil && obj.Pkg() == from {
		m.declared = obj.Pos()
	}
	c.take(m)
}

func (c *candidates) take(m candidate) {
	if !c.fits(m.Text) {
		return
	}
	if !strings.HasPrefix(m.Text, c.prefix) {
		m.rank += 200
	}
	c.put(m)
}

func (c *candidates) put(m candidate) {
	if m.Text == "_" || m.Text == standIn || c.seen[m.Text] {
		return
	}
	if c.seen == nil {
		c.seen = make(map[string]bool)
	}
	c.seen[m.Text] = true
	c.list = append(c.list, m)
}

// ranked returns the matches, best first. Equals stand in the order of the
// alphabet; where nothing is typed yet, what was declared last comes first.
func (c *candidates) ranked() []execution.Match {
	slices.SortFunc(c.list, func(a, b candidate) int {
		if a.rank != b.rank {
			return a.rank - b.rank
		}
		if c.most > 0 && a.declared != b.declared {
			return cmp.Compare(b.declared, a.declared)
		}
		return strings.Compare(a.Text, b.Text)
	})
	if c.most > 0 && len(c.list) > c.most {
		c.list = c.list[:c.most]
	}
	matches := make([]execution.Match, len(c.list))
	for i, m := range c.list {
		matches[i] = m.Match
		if m.obj != nil {
			matches[i] = matchOf(m.obj, m.from)
		}
		matches[i].Text = c.before + m.Text
	}
	return matches
}
