package licence

import (
	"encoding/json"
	"runtime/debug"
	"strings"
	"testing"
	"unicode/utf8"
)

func TestTexts(t *testing.T) {
	all := Components()
	if len(all) < 30 || all[0].Path != Program || all[1].Path != Go {
		t.Fatalf("%d components, %v first", len(all), all[:min(2, len(all))])
	}
	for path, want := range map[string]string{
		Program:                            "Bonnetbook authors",
		Go:                                 "The Go Authors",
		"codeberg.org/go-fonts/liberation": "SIL OPEN FONT LICENSE",
		"github.com/ajstarks/svgo":         "Creative Commons Attribution 4.0",
		"github.com/golang/freetype":       "FreeType Project LICENSE",
		"github.com/parquet-go/parquet-go": "Apache License",
		"gonum.org/v1/gonum":               "Stephen L. Moshier",
		"gonum.org/v1/plot":                "Cynthia Brewer",
	} {
		text, err := Text(path)
		if err != nil || !strings.Contains(text, want) {
			t.Errorf("%s: %v, %q is not in the %d bytes", path, err, want, len(text))
		}
	}
}

// Texts go to terminals and pages: also old ones are UTF-8.
func TestTextsAreUTF8(t *testing.T) {
	for _, c := range Components() {
		if text, err := Text(c.Path); err != nil || !utf8.ValidString(text) {
			t.Errorf("%s: %v, or its text is not UTF-8", c.Path, err)
		}
	}
}

// A program that was built with other modules than the texts are of says so.
func TestMissing(t *testing.T) {
	known := Components()[2]
	missing := Missing(&debug.BuildInfo{Deps: []*debug.Module{
		{Path: known.Path, Version: known.Version},
		{Path: "example.org/a", Version: "v1.0.0"},
		{Path: "example.org/b", Version: "v1.0.0", Replace: &debug.Module{Path: known.Path, Version: "v0.0.0-older"}},
	}})
	if len(missing) != 2 || missing[0].Path != "example.org/a" || missing[1].Version != "v0.0.0-older" {
		t.Errorf("%+v", missing)
	}
}

// The required fields of CycloneDX 1.5: bomFormat, specVersion; type and name
// of each component; bom-ref unique.
func TestBill(t *testing.T) {
	text, err := Bill(Components(), "v1.2.3", "go1.26.8")
	if err != nil {
		t.Fatal(err)
	}
	var b bill
	if err := json.Unmarshal(text, &b); err != nil {
		t.Fatal(err)
	}
	if b.Format != "CycloneDX" || b.Spec != "1.5" || b.Metadata.Component.URL != "pkg:golang/"+Program+"@v1.2.3" {
		t.Errorf("%s", text)
	}
	seen := map[string]bool{}
	for _, m := range b.Components {
		if m.Type != "library" || m.Name == "" || m.Version == "" || len(m.Licences) != 1 || m.Licences[0].Expression == "" || seen[m.Ref] {
			t.Errorf("%+v", m)
		}
		seen[m.Ref] = true
	}
	if !seen["pkg:golang/std@1.26.8"] || len(seen) < 30 {
		t.Errorf("%d components, want Go's library among all", len(seen))
	}
}
