package main

import (
	"bytes"
	"html"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/document"
)

// A campaign of three configurations, of which nobody names two, is answered
// for each against the first, at a level that all intervals share.
func TestEachConfigurationAgainstTheFirst(t *testing.T) {
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS("../testdata/demo")); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(dir, "campaign.toml")
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	parts, seen := strings.Split(string(text), "[[drive]]"), 0
	for i := range parts[1:] { // the second and third with the duct become shields
		if strings.Contains(parts[i+1], `configuration = "cold-air duct"`) {
			if seen++; seen > 1 {
				parts[i+1] = strings.Replace(parts[i+1], `configuration = "cold-air duct"`, `configuration = "shield"`, 1)
			}
		}
	}
	if err := os.WriteFile(path, []byte(strings.Join(parts, "[[drive]]")+"\n[[configuration]]\nname = \"shield\"\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	first, others, err := judgements(path, "", "", "", &difference{})
	if err != nil || len(others) != 1 {
		t.Fatalf("%d others, %v", len(others), err)
	}
	v := document.VerdictOf(first)
	v.Others = []document.Verdict{document.VerdictOf(others[0])}
	var said, page bytes.Buffer
	v.Text(&said)
	if err := v.WritePage(&page); err != nil {
		t.Fatal(err)
	}
	// One drive with the duct, which nobody can tell from an odd one, takes no word.
	for _, want := range []string{`it is undecided whether "cold-air duct" breathes cooler or warmer than "open filters"`, "3 + 1 drives, the one taken for one like the others", `cooler with "shield" than with "open filters" (97.5 %`, "so that all hold together"} {
		if !strings.Contains(said.String(), want) {
			t.Errorf("not said: %s\n%s", want, said.String())
		}
	}
	if strings.Count(page.String(), "<h1>") != 2 || !strings.Contains(page.String(), "to hold together") {
		t.Error("the page lacks an answer")
	}
	// The shields' interval at full throttle reaches beyond the dew point.
	if text := html.UnescapeString(page.String()); !strings.Contains(text, "the engine would breathe air of") || strings.Contains(text, "compare.PowerOf") || strings.Contains(text, "air.Heated") {
		t.Errorf("why there is no power is not told in words:\n%s", text)
	}
	if _, others, err = judgements(path, "open filters", "shield", "", &difference{}); err != nil || len(others) != 0 {
		t.Errorf("two that were named: %d others, %v", len(others), err)
	}
}
