package plan

import (
	"fmt"
	"math"

	"github.com/bonnetbook/bonnetbook/pkg/compare"
)

// moreOfEach is how many more drives with each configuration are looked ahead to
// where both have as many.
const moreOfEach = 2

// More is what more drives would do to the interval of a difference.
type More struct {
	Before, After string
	// MoreBefore and MoreAfter are the drives to add: so many that both sides have
	// as many, or two more of each where they have.
	MoreBefore, MoreAfter int
	// Narrower is the share of its width that the interval is expected to lose,
	// averaged over what is known of the drives' scatter; below 0 where it is
	// expected to grow, since these drives agree better than is likely. NaN where
	// nothing can be compared.
	Narrower float64
}

// Ahead says what more drives would do to the interval of a difference between the
// configurations of these names.
func Ahead(d compare.Difference, before, after string) More {
	n, m := d.Before.Drives, d.After.Drives
	most := max(n, m)
	if n == m {
		most += moreOfEach
	}
	return More{Before: before, After: after, MoreBefore: most - n, MoreAfter: most - m, Narrower: 1 - 2*float64(d.Expected(most))/d.Change.Interval.Width()}
}

// hardly is the share below which an interval hardly narrows, steps that to which
// it is told: what is known of the scatter does not bear more digits.
const hardly, steps = 0.05, 0.05

// String says it in a sentence; empty where nothing can be compared.
func (m More) String() string {
	if math.IsNaN(m.Narrower) || math.IsInf(m.Narrower, 0) || m.MoreBefore+m.MoreAfter <= 0 {
		return ""
	}
	added := func(n int) string {
		if n == 1 {
			return "1 more drive"
		}
		return fmt.Sprintf("%d more drives", n)
	}
	drives := fmt.Sprintf("%s with %q and %d with %q", added(m.MoreBefore), m.Before, m.MoreAfter, m.After)
	switch {
	case m.MoreBefore == m.MoreAfter:
		drives = added(m.MoreBefore) + " with each"
	case m.MoreBefore == 0:
		drives = fmt.Sprintf("%s with %q", added(m.MoreAfter), m.After)
	case m.MoreAfter == 0:
		drives = fmt.Sprintf("%s with %q", added(m.MoreBefore), m.Before)
	}
	if m.Narrower < hardly {
		return drives + " would hardly narrow the interval."
	}
	return fmt.Sprintf("%s would narrow the interval by about %.0f %%.", drives, 100*steps*math.Round(m.Narrower/steps))
}
