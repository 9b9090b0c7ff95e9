package plan_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/plan"
)

func TestCard(t *testing.T) {
	for _, c := range []struct {
		n    int
		done []string
		want string
	}{
		{4, nil, "ABBAABBA"}, {2, nil, "ABBA"}, {3, nil, "ABBAAB"},
		{4, []string{"A", "B", "B"}, "AABBA"},
		{3, []string{"A", "A", "A"}, "BBB"}, // there is nothing else left to do
		{2, []string{"A", "B", "B", "A", "A"}, ""},
		{3, []string{"A", "other", "B"}, "AABB"},
	} {
		card, err := plan.NewCard("A", "B", c.n, c.done...)
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Join(card.Drives, ""); got != c.want {
			t.Errorf("%d each after %v: %s, want %s", c.n, c.done, got, c.want)
		}
	}
	card, err := plan.NewCard("open | <b>", "duct", 1)
	if err != nil {
		t.Fatal(err)
	}
	text := card.String()
	for _, want := range []string{`open \| &lt;b>`, "| 2 | duct |", "Full throttle only where", "licensed workshop", "engine cold and off"} {
		if !strings.Contains(text, want) {
			t.Errorf("the card lacks %q:\n%s", want, text)
		}
	}
	if strings.Index(text, "First, safety") > strings.Index(text, "On each drive") {
		t.Error("cautions come after the drive")
	}
	for _, bad := range []struct {
		a, b string
		n    int
	}{{"A", "A", 3}, {"", "B", 3}, {"A", "B", 0}, {"A", "B", 31}} {
		if _, err := plan.NewCard(bad.a, bad.b, bad.n); err == nil {
			t.Errorf("%v was taken", bad)
		}
	}
	if done, err := plan.NewCard("A", "B", 1, "A", "B"); err != nil || !strings.Contains(done.String(), "No drive is left") || !slices.Equal(done.Done, []string{"A", "B"}) {
		t.Errorf("%v, %v", done, err)
	}
}
