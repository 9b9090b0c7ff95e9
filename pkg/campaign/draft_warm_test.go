package campaign_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
)

// A rig that shows no opening is asked when the engine counts as warm; the
// answer stands in the file and is not asked for again.
func TestDraftAsksWhenWarm(t *testing.T) {
	dir := askingFolder(t)
	if err := os.Remove(filepath.Join(dir, "run1-tank.csv")); err != nil {
		t.Fatal(err)
	}
	asks := func(s *campaign.Sketch) bool {
		for _, q := range s.Questions {
			if q.ID == "warm" {
				return true
			}
		}
		return false
	}
	draft := func(answers ...campaign.DraftAnswer) (*campaign.Sketch, error) {
		return campaign.DraftWith(dir, campaign.DraftOptions{Answers: append(answers, campaign.DraftAnswer{ID: "configuration", Value: "open"})})
	}
	s, err := draft()
	if err != nil || !asks(s) {
		t.Fatalf("%v, not asked: %v", err, s)
	}
	for value, says := range map[string]string{"15 min": "key=value", "role=oil": "both", "after": "key=value"} {
		if _, err := draft(campaign.DraftAnswer{ID: "warm", Value: value}); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v, want a word of %q", value, err, says)
		}
	}
	s, err = draft(campaign.DraftAnswer{ID: "warm", Value: "distance=8 km,after=10 min"})
	if err != nil || asks(s) || !strings.Contains(s.Text, "[warm]") || !strings.Contains(s.Text, `distance = "8 km"`) {
		t.Fatalf("%v\n%s", err, s.Text)
	}
	if _, err := s.Save(); err != nil {
		t.Fatal(err)
	}
	if s, err = campaign.Draft(dir); err != nil || asks(s) {
		t.Errorf("%v, or asked again", err)
	}
	c, err := campaign.Open(filepath.Join(dir, "campaign.toml"))
	if err != nil || c.Warm.After != 600 || c.Warm.Distance.Metres() != 8000 {
		t.Errorf("%v, %+v", err, c)
	}
}

// With a top tank's probe nothing is asked.
func TestDraftWithTopTankDoesNotAskWhenWarm(t *testing.T) {
	s, err := campaign.Draft(askingFolder(t))
	if err != nil {
		t.Fatal(err)
	}
	for _, q := range s.Questions {
		if q.ID == "warm" {
			t.Error(q.Text)
		}
	}
}
