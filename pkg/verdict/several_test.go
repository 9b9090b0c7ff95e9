package verdict_test

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/compare"
	"github.com/bonnetbook/bonnetbook/pkg/engine"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
	"github.com/bonnetbook/bonnetbook/pkg/simulate"
	"github.com/bonnetbook/bonnetbook/pkg/verdict"
)

// A third configuration, made by calling the last pair's drives by other names:
// each is set against the first, at a level that both intervals share.
func TestThreeConfigurations(t *testing.T) {
	path := saved(t, simulate.Demo(simulate.DemoSeed), "[car]\n", "[units]\ntemperature = \"°F\"\n\n[car]\n")
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	parts := strings.SplitAfter(string(text), "[[drive]]")
	if len(parts) != 7 {
		t.Fatalf("%d drives in the file", len(parts)-1)
	}
	seen := 0
	for i := range parts[1:] { // the second and third with the duct become shields
		if strings.Contains(parts[i+1], `configuration = "cold-air duct"`) {
			if seen++; seen > 1 {
				parts[i+1] = strings.Replace(parts[i+1], `configuration = "cold-air duct"`, `configuration = "shield"`, 1)
			}
		}
	}
	out := strings.Join(parts, "") + "\n[[configuration]]\nname = \"shield\"\n\n[[configuration]]\nname = \"snorkel, not yet made\"\n"
	if err := os.WriteFile(path, []byte(out), 0o600); err != nil {
		t.Fatal(err)
	}
	c, err := campaign.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	s, err := verdict.OfSeveral(c, verdict.Question{})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Answers) != 2 || s.Before != "open filters" || s.Level < 0.974 || s.Level > 0.976 || s.Answers[1].After != "shield" {
		t.Fatalf("%v", s)
	}
	for _, a := range s.Answers { // engine and units are the campaign's, as with two configurations
		if a.Rules.Mixture != engine.ConstantDepression || a.Units.Temperature != c.Units.Temperature || !strings.Contains(a.Judge(s.Mounting).Sentence(), "°F") {
			t.Errorf("%v, %v: %s", a.Rules.Mixture, a.Units, a.Judge(s.Mounting).Sentence())
		}
	}
	d := difference(t, s.Answers[1], compare.RoadMiddle)
	if d.After.Drives != 2 || d.Before.Drives != 3 || d.Change.Interval.Level != s.Level || d.Verdict != compare.Cooler {
		t.Errorf("%v", d)
	}
	if !strings.Contains(s.String(), "97.50 %") || strings.Count(s.String(), "breathes") != 2 {
		t.Errorf("%v", s)
	}
	// What nobody drove takes nothing of the level from the others.
	if len(s.Silent) != 1 || s.Silent[0].Configuration != "snorkel, not yet made" || !strings.Contains(s.String(), "no drive with it") {
		t.Errorf("silent: %v", s.Silent)
	}
	if _, err := verdict.OfSeveral(c, verdict.Question{Before: "snorkel"}); err == nil || !strings.Contains(err.Error(), "snorkel") {
		t.Errorf("unknown configuration: %v", err)
	}
}

// Pulls that their driver rejects count nowhere; without any the worth at full
// throttle is a prediction and says so.
func TestRejectedPullsAndPrediction(t *testing.T) {
	path := saved(t, simulate.Demo(simulate.DemoSeed))
	a := answerOf(t, path, verdict.Question{})
	if len(a.Pulls) < 6 || a.Power.Predicted != nil || !strings.Contains(a.Pulls[0].String(), "by acceleration") {
		t.Fatalf("pulls %v, prediction %v", a.Pulls, a.Power.Predicted)
	}
	first := a.Pulls[0].Drive
	one := answerOf(t, path, verdict.Question{Rejected: func(p verdict.Pull) bool { return p.Drive == first }})
	if got, want := difference(t, one, compare.FullThrottle).Before.Drives, difference(t, a, compare.FullThrottle).Before.Drives-1; got != want {
		t.Errorf("%d drives with full throttle after one was rejected, want %d", got, want)
	}
	if full, _ := one.Run(first); slices.ContainsFunc(full.Segments, func(s segment.Segment) bool {
		return s.Kind == segment.FullThrottle || s.Kind == segment.Unknown && s.Settled
	}) {
		t.Errorf("a rejected pull counts: %v", full.Segments)
	}
	none := answerOf(t, path, verdict.Question{Rejected: func(verdict.Pull) bool { return true }})
	if none.Power.Predicted == nil || len(none.Power.Worths) != 0 {
		t.Fatalf("%v", none.Power)
	}
	j := none.Judge(campaign.InPlace)
	low, high, ok := j.PredictedRange()
	measuredLow, measuredHigh, _ := a.Judge(campaign.InPlace).PowerRange()
	if said := j.Sentence(); !ok || !strings.Contains(said, "predicted, not measured") || strings.Contains(said, "At full throttle that is worth") {
		t.Errorf("%v: %s", ok, said)
	}
	if !(low < measuredHigh && high > measuredLow && low < high) {
		t.Errorf("predicted %.4f to %.4f, measured %.4f to %.4f", low, high, measuredLow, measuredHigh)
	}
	if !strings.Contains(none.Power.String(), "predicted from part throttle, not measured") {
		t.Errorf("%v", none.Power)
	}
}

// The prediction speaks of the engine that the campaign describes.
func TestPredictionOfInjection(t *testing.T) {
	path := saved(t, simulate.Demo(simulate.DemoSeed), "carburettor = \"constant-depression\"\ncarburettors = 1\n", "mixture = \"injection\"\n")
	none := answerOf(t, path, verdict.Question{Rejected: func(verdict.Pull) bool { return true }})
	if said := none.Judge(campaign.InPlace).Sentence(); !strings.Contains(said, "predicted, not measured") || !strings.Contains(said, "injection") || strings.Contains(said, "carburettor") {
		t.Error(said)
	}
}

// What the campaign calls full throttle is not said to be inferred.
func TestStatedPulls(t *testing.T) {
	drives := simulate.Demo(simulate.DemoSeed)
	path := saved(t, drives)
	a := answerOf(t, path, verdict.Question{})
	p := a.Pulls[0]
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	name := fmt.Sprintf("name = %q\n", p.Drive)
	before, after, ok := strings.Cut(string(text), name)
	if !ok {
		t.Fatalf("no %q in the campaign", name)
	}
	rest, others, more := strings.Cut(after, "[[drive]]")
	stated := fmt.Sprintf("\n[[drive.full-throttle]]\nfrom = \"%.0f s\"\nto = \"%.0f s\"\nwas = \"full\"\n\n", p.Interval.From-1, p.Interval.To+1)
	if more {
		others = "[[drive]]" + others
	}
	if err := os.WriteFile(path, []byte(before+name+rest+stated+others), 0o600); err != nil {
		t.Fatal(err)
	}
	got := answerOf(t, path, verdict.Question{}).Pulls
	if len(got) < len(a.Pulls) || !got[0].Stated || !strings.Contains(got[0].String(), "as stated") || got[1].Stated || !strings.Contains(got[1].String(), "by acceleration") {
		t.Errorf("%v", got)
	}
}

func answerOf(t *testing.T, path string, q verdict.Question) *verdict.Answer {
	t.Helper()
	a, err := verdict.Open(path, q)
	if err != nil {
		t.Fatal(err)
	}
	return a
}
