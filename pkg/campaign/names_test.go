package campaign_test

import (
	"slices"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
)

// A method is given the names that it knows, and every name is of the file.
func TestNamesFor(t *testing.T) {
	c, err := campaign.Open("../../testdata/demo/campaign.toml")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range c.NamesFor("Drive") {
		if _, err := c.Request(name); err != nil {
			t.Error(err)
		}
	}
	for _, name := range c.NamesFor("Drives") {
		if !slices.Contains(c.Driven(), name) {
			t.Errorf("%q is no configuration that was driven", name)
		}
	}
	if n := len(c.NamesFor("")); n != 6+2 || len(c.NamesFor("Drive")) != 6 {
		t.Errorf("%d names, want those of 6 drives and 2 configurations", n)
	}
	if got := c.NamesFor("String"); len(got) > 0 {
		t.Errorf("String takes no name, got %q", got)
	}
}
