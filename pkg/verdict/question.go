package verdict

import (
	"fmt"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/fuel"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
)

// Question says what is asked. Its zero value compares the two configurations
// of a campaign that has two, by the usual rules.
type Question struct {
	// Before and After are names of configurations; both empty take those of
	// the campaign's own question, or the two that it has drives of, in the order
	// of its file. A campaign with drives of one configuration only has no After.
	Before, After string
	// Cutting and Comparing are the rules; zero values take
	// [segment.DefaultRules], and what [Rules] makes of the campaign's question.
	Cutting   segment.Rules
	Comparing compare.Rules
	// Standard is the outside temperature for which power is compared; the zero
	// value takes 20 °C.
	Standard quantity.Temperature
	// Drops are what mouth, filter and hose of a configuration take off the
	// pressure at full throttle, by its name; nil takes what the campaign says.
	// Where one of the two is missing it is left out of the power, which says so.
	Drops map[string]quantity.Pressure
	// Fuels are the fuels of the configurations, by name; nil takes what the
	// campaign says, which without a word is one fuel.
	Fuels map[string]fuel.Supply
	// Rejected says of a stretch that was taken for full throttle that it was
	// none; nil takes them as they are. [Answer.Pulls] lists them. It is for a
	// look at what they do: such a stretch counts as nothing. What the campaign
	// says of full throttle ([drive.Drive.FullThrottle]) has been heard before, and
	// makes another kind of driving of a stretch that was none.
	Rejected func(Pull) bool
}

// Rules returns the usual rules of comparison with what a campaign's own
// question says: the kind of driving that counts, the difference that does not
// matter, what became of the probe.
func Rules(q campaign.Question) compare.Rules {
	rules := compare.DefaultRules()
	if q.PrimaryDeclared {
		rules.Primary = compare.StratumID(q.Primary)
	}
	if q.Delta > 0 {
		rules.Delta = q.Delta
	}
	rules.Covariate, rules.Control = q.Covariate, q.Control
	rules.Refitted, rules.Exchanged = q.Mounting == campaign.Refitted, q.Mounting == campaign.Exchanged
	return rules
}

// of takes from the campaign what the question leaves open.
func (q Question) of(c *campaign.Campaign) Question {
	if q.comparesAsUsual() {
		q.Comparing = Rules(c.Question)
	}
	if q.Comparing.Mixture == engine.UnknownCarburettor {
		q.Comparing.Mixture = c.Engine.Carburettor
	}
	if q.Comparing.Lambda == (engine.LambdaRange{}) {
		q.Comparing.Lambda = c.Engine.Lambda
	}
	if q.Drops == nil {
		q.Drops = map[string]quantity.Pressure{}
		for _, k := range c.Configurations {
			if k.PressureDrop > 0 {
				q.Drops[k.Name] = k.PressureDrop
			}
		}
	}
	if q.Fuels == nil {
		q.Fuels = map[string]fuel.Supply{}
		for _, k := range c.Configurations {
			q.Fuels[k.Name] = k.Fuel
		}
	}
	return q
}

// complete fills in what is still open.
func (q Question) complete() Question {
	if q.Cutting == (segment.Rules{}) {
		q.Cutting = segment.DefaultRules()
	}
	if q.comparesAsUsual() {
		q.Comparing = compare.DefaultRules()
	}
	if !q.Standard.IsValid() {
		q.Standard = quantity.Celsius(20)
	}
	return q
}

// comparesAsUsual reports whether no rules of comparison are given.
func (q Question) comparesAsUsual() bool {
	return len(q.Comparing.Strata) == 0 && q.Comparing.Role == "" && q.Comparing.Level == 0
}

// named returns the question with both configurations named, or says what is
// wrong with the names.
func (q Question) named(c *campaign.Campaign) (Question, error) {
	var names []string
	for _, k := range c.Configurations {
		names = append(names, k.Name)
	}
	driven := c.Driven()
	asked := q.Before != "" || q.After != ""
	switch {
	case !asked && c.Question.Before != "" && c.Question.After != "":
		q.Before, q.After = c.Question.Before, c.Question.After
	case !asked && len(names) == 2:
		q.Before, q.After = names[0], names[1]
	case !asked && len(driven) == 2:
		q.Before, q.After = driven[0], driven[1]
	case !asked && len(driven) == 1:
		q.Before = driven[0]
	case q.Before == "" || q.After == "":
		return q, fmt.Errorf("%s has the configurations %q: say which is before and which is after the change", c.Path, names)
	}
	return q, nil
}
