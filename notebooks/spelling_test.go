package notebooks

import (
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

var (
	indented = regexp.MustCompile(`(?m)^    .*$`)
	targets  = regexp.MustCompile(`\]\([^)]*\)`)
)

// The documents and the notebooks' text hold no word that a dictionary does not
// know, British or American; our own words stand in testdata/words.txt. Without
// a dictionary (Debian: hunspell, hunspell-en-gb, hunspell-en-us) it skips.
func TestSpelling(t *testing.T) {
	hunspell, err := exec.LookPath("hunspell")
	if err != nil {
		t.Skip("hunspell is not installed (Debian: apt-get install hunspell hunspell-en-gb hunspell-en-us)")
	}
	data, err := os.ReadFile("testdata/words.txt")
	if err != nil {
		t.Fatal(err)
	}
	own := strings.Fields(string(data))
	texts := map[string]string{}
	keep := func(from, text string) {
		text = fence.ReplaceAllString(text, "")
		text = spans.ReplaceAllString(text, "")
		text = indented.ReplaceAllString(targets.ReplaceAllString(text, "]"), "")
		texts[from] = strings.ReplaceAll(text, "’", "'")
	}
	for _, pattern := range []string{"../*.md", "../docs/*.md"} {
		found, err := filepath.Glob(pattern)
		if err != nil || len(found) < 3 {
			t.Fatal(found, err)
		}
		for _, path := range found {
			text, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			keep(path, string(text))
		}
	}
	for _, path := range all(t) {
		var text strings.Builder
		for _, c := range read(t, path).Cells {
			if c.Kind == "markdown" {
				text.WriteString(string(c.Source) + "\n\n")
			}
		}
		keep(path, text.String())
	}
	cmd := exec.Command(hunspell, "-d", "en_GB,en_US", "-i", "utf-8", "-l")
	cmd.Stdin = strings.NewReader(strings.Join(slices.Collect(maps.Values(texts)), "\n\n"))
	out, err := cmd.Output()
	if err != nil {
		t.Skipf("hunspell has no English dictionary (Debian: apt-get install hunspell-en-gb hunspell-en-us): %v", err)
	}
	unknown := strings.Fields(string(out))
	slices.Sort(unknown)
	for _, word := range slices.Compact(unknown) {
		if slices.Contains(own, word) {
			continue
		}
		for from, text := range texts {
			if strings.Contains(text, word) {
				t.Errorf("%s: %q is in no dictionary; mend it, or add it to testdata/words.txt", from, word)
			}
		}
	}
	if !slices.Contains(unknown, "Jupyter") {
		t.Error("the dictionary knows every word: is it one?")
	}
}
