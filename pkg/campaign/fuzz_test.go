package campaign

import (
	"os"
	"testing"

	"github.com/bonnetbook/bonnetbook/internal/mutant"
)

// A campaign file is text from anywhere: none may make Open panic.
func FuzzOpen(f *testing.F) { fuzzOpen(f) }

func fuzzOpen(f mutant.F) {
	demo, err := os.ReadFile("../../testdata/demo/campaign.toml")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(string(demo))
	f.Add("a = {b = [1, {c = 2}]}\n[[x.y]]\n[x.z]\n")
	f.Add("[[drive]]\n[[drive.file]]\npath = [[]]\n")
	f.Fuzz(func(t *testing.T, text string) {
		// The text is taken from memory: to write and read a file for each
		// takes most of the time.
		if c, err := check("testdata/campaign.toml", []byte(text)); (c == nil) == (err == nil) {
			t.Fatalf("campaign %v, error %v", c, err)
		}
	})
}
