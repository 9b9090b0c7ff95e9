package verdict

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
)

// Several sets each of several configurations against the same first one.
type Several struct {
	Before string
	// Answers is one for each other configuration, in the order of the campaign.
	Answers []*Answer
	// Level is that of each interval: all of them hold together with the level
	// that was asked for (C. E. Bonferroni 1936).
	Level float64
	// Mounting is what the campaign says of the intake's probe.
	Mounting campaign.Mounting
	// Silent are the configurations without an answer, and why.
	Silent []drive.LeftOut
}

// OfSeveral answers the question for a campaign of three configurations or more:
// each against the one that q.Before names, or the first of the campaign's file.
// q.After is not used. Configurations that nobody drove share no level and are
// silent. It fails where a name or a rule is wrong, where there is no other
// configuration or no drive with one, and where no drive of the first holds.
func OfSeveral(c *campaign.Campaign, q Question) (*Several, error) {
	if len(c.Configurations) < 2 {
		return nil, fmt.Errorf("%s has one configuration; nothing can be compared with it", c.Path)
	}
	if q.Before == "" {
		q.Before = c.Configurations[0].Name
	}
	var names []string
	known := false
	all := &Several{Before: q.Before, Mounting: c.Question.Mounting}
	driven := c.Driven()
	for _, k := range c.Configurations {
		known = known || k.Name == q.Before
		switch {
		case k.Name == q.Before:
		case slices.Contains(driven, k.Name):
			names = append(names, k.Name)
		default: // takes nothing of the level from the others
			all.Silent = append(all.Silent, drive.LeftOut{Drive: k.Name, Configuration: k.Name, Step: drive.Comparing, Why: errors.New("the campaign has no drive with it")})
		}
	}
	if !known {
		return nil, fmt.Errorf("%s has no configuration %q", c.Path, q.Before)
	}
	if len(names) == 0 {
		return nil, fmt.Errorf("%s has no drive with another configuration than %q; nothing can be compared with it", c.Path, q.Before)
	}
	q = q.of(c)
	q.Comparing.Level = 1 - (1-q.Comparing.Level)/float64(len(names))
	set, err := c.Gather(append([]string{q.Before}, names...)...)
	if err != nil {
		return nil, err
	}
	all.Level = q.Comparing.Level
	for _, name := range names {
		q.After = name
		a, err := ofDrives(set, q, c.Units)
		if err != nil {
			all.Silent = append(all.Silent, drive.LeftOut{Drive: name, Configuration: name, Step: drive.Comparing, Why: err})
			continue
		}
		all.Answers = append(all.Answers, a)
	}
	if len(all.Answers) == 0 {
		return nil, &drive.LeftOutError{LeftOut: all.Silent}
	}
	return all, nil
}

// String says each answer in a sentence.
func (s *Several) String() string {
	var b strings.Builder
	for _, a := range s.Answers {
		fmt.Fprintln(&b, a.Judge(s.Mounting).Sentence())
	}
	for _, l := range s.Silent {
		fmt.Fprintf(&b, "%q: %v\n", l.Configuration, l.Why)
	}
	fmt.Fprintf(&b, "Each interval is one of %.2f %%, so that all hold together.", 100*s.Level)
	return b.String()
}
