package campaign

import (
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/campaign/internal/draft"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Question is what the campaign is to answer, from its table [question]; all
// of it may be left out.
type Question struct {
	// Before and After name configurations; empty where the file leaves it to
	// their order.
	Before, After string
	// Primary is the ID of the kind of driving that was declared as the one that
	// counts, before looking; "road_middle" where none is.
	Primary string
	// PrimaryDeclared says that the file names it.
	PrimaryDeclared bool
	// Delta is the difference that does not matter to the owner; 3 K where the
	// file does not say.
	Delta quantity.TemperatureDifference
	// Mounting says whether the intake's probe stayed in place.
	Mounting Mounting
}

// Mounting is what became of the intake's probe between the configurations.
type Mounting string

// What may have become of it.
const (
	InPlace   Mounting = "in place"  // or nothing is said
	Refitted  Mounting = "refitted"  // taken out and put back
	Exchanged Mounting = "exchanged" // another probe
)

func (c *Campaign) readQuestion(t *table) {
	c.Question = Question{Primary: draft.DefaultPrimary, Delta: quantity.KelvinDifference(draft.DefaultDelta), Mounting: InPlace}
	if t == nil {
		return
	}
	q := &c.Question
	var names []string
	for _, k := range c.Configurations {
		names = append(names, k.Name)
	}
	for _, side := range []struct {
		key string
		at  *string
	}{{"before", &q.Before}, {"after", &q.After}} {
		*side.at = t.text(side.key, false, "open filters")
		if name := *side.at; name != "" && !slices.Contains(names, name) {
			t.problems.add(t.line(side.key), t.key(side.key), "there is no configuration %q; the file has %s%s", name, quoteAll(names), suggestion(name, names))
		}
	}
	if s := t.text("primary", false, draft.DefaultPrimary); s != "" {
		q.Primary, q.PrimaryDeclared = s, true
	}
	if k := t.kelvins("delta", 100); k > 0 {
		q.Delta = quantity.KelvinDifference(k)
	} else if k <= 0 {
		t.problems.add(t.line("delta"), t.key("delta"), "a difference that does not matter is more than nothing; write one such as \"3 K\"")
	}
	if m := t.choice("mounting", draft.Mountings); m != "" {
		q.Mounting = Mounting(m)
	}
	t.done()
}
