package document

import (
	"fmt"
	"html"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// full is a comparison of a+b drives that says everything a page may say.
func full(after string, b int, flaws []Flaw) Verdict {
	text := func(s string) *string { return &s }
	v := Verdict{Before: "open filters", After: after, Primary: "road_middle", DeltaK: 3, Flaws: flaws,
		clauses: []string{"On road 60 to 95 km/h the engine breathes 12.2 K cooler with \"" + after + "\" than with \"open filters\" (97.5 %: 8.0 to 14.6 K; 4 + 4 drives in mixed order, probe left in place).",
			"At full throttle, recognised by how the car accelerates, that is worth +1.3 to +4.4 % of power, with what an unadjusted carburettor's mixture gives or takes where nobody measured it; what a duct costs in pressure is not in it.",
			"In stop-and-go, which was not the question, it is undecided (97.5 %: −20.4 to +3.5 K; 4 + 4 drives).", "2 more drives with each would narrow the interval by about 25 %."},
		Stop: Stop{Text: "No: look 5 of 10 asks for 98.9 % if you look after each drive, and at that the drives are undecided."}}
	v.Sentence = strings.Join(v.clauses, " ")
	for _, name := range []string{"stopped", "stop-and-go", "road below 60 km/h", "road 60 to 95 km/h", "road above 95 km/h", "full throttle"} {
		id := map[string]string{"road 60 to 95 km/h": "road_middle"}[name]
		v.Strata = append(v.Strata, Stratum{ID: id, Name: name, ChangeK: -12.2, LowK: -14.6, HighK: -8, Level: 0.975, Word: "cooler", DrivesBefore: 4, DrivesAfter: b, RiseBefore: Rise{16, 15, 17}, RiseAfter: Rise{4, 3, 5},
			Budget: []Share{{Source: "a", Share: 0.6, label: "scatter between drives, " + name}, {Source: "b", Share: 0.2, label: "how the rise follows the outside temperature"}, {Source: "c", Share: 0.1, label: "drift over the drives"}, {Source: "d", Share: 0.06, label: "speed"}, {Source: "e", Share: 0.04, label: "another road"}}})
	}
	for i := range 4 + b {
		c := "open filters"
		if i%2 == 1 {
			c = after
		}
		v.Drives = append(v.Drives, Driven{Name: fmt.Sprintf("%s, run %d", c, i+1), Configuration: c, Used: true, Start: text(fmt.Sprintf("2026-05-%02dT09:00:00Z", i+2)), RiseK: Number(16 - 12*(i%2)), AmbientC: 18})
		v.Influence = append(v.Influence, Influence{Drive: v.Drives[i].Name, ChangeWithout: Number(-12 + 0.1*float64(i))})
		v.Pulls = append(v.Pulls, Pull{text: fmt.Sprintf("%s, 1145 to 1152 s, 96.8 km/h: full throttle with 85 %%", v.Drives[i].Name)})
	}
	for range 4 {
		v.Next = append(v.Next, Next{Do: "put all probes in one cup of water for ten minutes, once ice-cold and once hot", Why: "the channels have no calibration yet, and two uncalibrated ones can differ by 2.0 K before anything is measured"})
	}
	return v
}

// A page of three configurations, with as much on it as pages have. Where
// BONNETBOOK_PICTURES names a folder the page is written there; kernelsetup/frontends
// prints it in a browser and counts the sheets.
func TestThreeConfigurationsOnOnePage(t *testing.T) {
	common := []Flaw{{Kind: "uncalibrated", Text: strings.Repeat("the probes were not compared side by side and the rise may be off. ", 2)},
		{Kind: "few drives", Text: strings.Repeat("two that agree say little of how far such drives scatter. ", 3)},
		{Kind: "inferred full throttle", Text: strings.Repeat("no channel shows the throttle, so it is inferred. ", 3)}}
	blocks := Flaw{Kind: "roles", Text: "two probes seem to be swapped", Blocks: true}
	own := Flaw{Kind: "weather", Text: "the drives after were at 18 to 27 °C outside, those before at 16 to 26 °C"}
	v := full("cold-air duct", 4, append(slices.Clone(common), blocks))
	v.Others = []Verdict{full("heat shield", 4, append(slices.Clone(common), own, blocks))}
	page := pageOf(t, v)
	if folder := os.Getenv("BONNETBOOK_PICTURES"); folder != "" {
		if err := os.WriteFile(filepath.Join(folder, "three configurations.html"), []byte(page), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	_, second, found := strings.Cut(html.UnescapeString(page), `<section class="more">`)
	if !found {
		t.Fatal("the page has no second comparison")
	}
	for text, want := range map[string]bool{common[0].Text: false, own.Text: true, blocks.Text: true, "and 3 that the first comparison tells of as well": true, "heat shield": true, "+1.3 to +4.4 %": true} {
		if strings.Contains(second, text) != want {
			t.Errorf("%q stands in the second comparison: %v", text, !want)
		}
	}
}
