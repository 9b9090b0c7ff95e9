package campaign

import (
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/campaign/internal/draft"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Question is what the campaign is to answer, from its table [question], if any.
type Question struct {
	// Before and After name configurations; empty where their order says it.
	Before, After string
	// Primary is the ID of the kind of driving that was declared as the one that
	// counts, before looking; "road_middle" where none is.
	Primary string
	// PrimaryDeclared says that the file names it.
	PrimaryDeclared bool
	// Delta is the difference that does not matter to the owner; 3 K where the
	// file does not say.
	Delta quantity.TemperatureDifference
	// Covariate is a temperature that the comparison allows for, Control one that
	// drifts as the intake would and the change does not touch; empty for none.
	Covariate, Control drive.Role
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
	q.Covariate, q.Control = c.allowedFor(t, "covariate"), c.allowedFor(t, "control")
	t.done()
}

// allowedFor reads a role and demands a temperature that some device measures and
// that is not the question itself.
func (c *Campaign) allowedFor(t *table, key string) drive.Role {
	r := t.role(key)
	dim, _ := r.Dimension()
	say := func(format string, args ...any) { t.problems.add(t.line(key), t.key(key), format, args...) }
	switch {
	case r == "":
	case dim != quantity.KindTemperature:
		say("%q is no temperature, and only a temperature can be allowed for", r)
	case r == drive.Ambient || r.IsIntake():
		say("the question is about the intake's rise over ambient, and %q is a part of it; name a temperature that the change does not touch, such as \"oil\"", r)
	case !c.measures(r):
		say("no device has a channel with the role %q", r)
	}
	return r
}
