package verdict

import (
	"math"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// In the order A-A-A-B-B-B the answer says what the control probe did, and the
// sentence that it was taken from the change; without its reading in one drive both
// say that nothing bounds a drift.
func TestControlIsTold(t *testing.T) {
	drives := fair()
	inBlocks := []driven{drives[0], drives[3], drives[4], drives[1], drives[2], drives[5]}
	a := answer(t, inBlocks, campaign.Question{Control: "oil"})
	for i := range a.Rises {
		a.Rises[i].Control = 30
		if a.Rises[i].Configuration == a.After {
			a.Rises[i].Control = 31.5
		}
	}
	order := func() string {
		for _, f := range a.Judge(campaign.InPlace).Flaws {
			if f.Kind == FlawOrder {
				return f.Text
			}
		}
		return ""
	}
	if got := order(); !strings.Contains(got, `"oil" changed by +1.5 K`) {
		t.Errorf("order: %s", got)
	}
	const told = `less the drift of the control probe "oil"`
	if said := a.Judge(campaign.InPlace).Sentence(); !strings.Contains(said, told) {
		t.Errorf("%s", said)
	}
	a.Rises[1].Control = quantity.TemperatureDifference(math.NaN())
	if got := order(); !strings.Contains(got, "does not read in each drive") {
		t.Errorf("order: %s", got)
	}
	if said := a.Judge(campaign.InPlace).Sentence(); strings.Contains(said, told) {
		t.Errorf("%s", said)
	}
	a.Rules.Control = ""
	if got := order(); !strings.Contains(got, "named as control") {
		t.Errorf("order: %s", got)
	}
}
