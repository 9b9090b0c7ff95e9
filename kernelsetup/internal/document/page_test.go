package document

import (
	"bytes"
	"regexp"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/verdict"
)

func pageOf(t *testing.T, v Verdict) string {
	t.Helper()
	var b bytes.Buffer
	if err := v.WritePage(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func example() Verdict {
	day := "2026-05-02T09:00:00Z"
	return Verdict{Sentence: "On the road it is cooler.", Before: "open", After: "duct", Primary: "road_middle", DeltaK: 3,
		Strata: []Stratum{{ID: "road_middle", Name: "road 60 to 95 km/h", ChangeK: -4, LowK: -5, HighK: -3, Level: 0.95, Word: "cooler", DrivesBefore: 3, DrivesAfter: 3,
			RiseBefore: Rise{20, 19, 21}, RiseAfter: Rise{16, 15, 17},
			Budget: []Share{{Source: "scatter (a)", Share: 0.9, label: "scatter between drives"}, {Source: "b", Share: 0.1, label: "speed"}}}},
		Drives: []Driven{{Name: "one", Configuration: "open", Used: true, Start: &day, RiseK: 20, AmbientC: 18}, {Name: "two", Configuration: "duct", Used: true, Start: &day, RiseK: 16, AmbientC: 19}},
		Stop:   Stop{Text: "Yes: cooler."}}
}

// What comes from files is text on the page, and the page loads nothing.
func TestPageIsEscapedAndSelfContained(t *testing.T) {
	const evil = `<script>alert(1)</script>"onload="`
	v := example()
	v.Sentence, v.Before, v.Strata[0].Name, v.Drives[0].Name, v.Stop.Text = evil, evil, evil, evil, evil
	v.Strata[0].Budget[0].label = evil
	v.Flaws = []Flaw{{Kind: "other", Text: evil}}
	v.Next = []Next{{Do: evil, Why: evil}}
	page := pageOf(t, v)
	if strings.Contains(page, "<script") || regexp.MustCompile(`\s(src|href|onload)=`).MatchString(page) || strings.Contains(page, "url(") || strings.Contains(page, "@import") {
		t.Error("the page carries what it was given as more than text, or loads something")
	}
	if !strings.Contains(page, "default-src &#39;none&#39;") && !strings.Contains(page, "default-src 'none'") {
		t.Error("the page forbids nothing")
	}
}

// Names and dates in the picture have one size, and at 360 wide none is below
// 10 px: the picture is 360 units wide, so that a unit is a pixel there.
func TestPictureText(t *testing.T) {
	page := pageOf(t, example())
	sizes := regexp.MustCompile(`svg text[^{]*\{[^}]*font: (\d+)px`).FindAllStringSubmatch(page, -1)
	if len(sizes) != 1 || len(sizes[0][1]) < 2 { // two digits: 10 or more
		t.Errorf("sizes of text in pictures: %v", sizes)
	}
	for _, rule := range regexp.MustCompile(`([^{}]*)\{([^}]*font-size[^}]*)\}`).FindAllStringSubmatch(page, -1) {
		for _, selector := range strings.Split(rule[1], ",") {
			if selector = strings.TrimSpace(selector); strings.HasPrefix(selector, ".soft") || strings.HasPrefix(selector, "svg") {
				t.Errorf("%q changes the size of text in pictures: %s", selector, rule[2])
			}
		}
	}
	for _, want := range []string{"between (95 %)", "2026-05-02, 18 °C outside", "scatter between drives", "90 %", "May I stop now?", "Yes: cooler.", "prefers-color-scheme: dark", "@page"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	for _, box := range regexp.MustCompile(`viewBox="0 0 (\d+)`).FindAllStringSubmatch(page, -1) {
		if box[1] != "360" {
			t.Errorf("a picture is %s units wide", box[1])
		}
	}
}

// One drive a side has neither mean nor interval, and where nothing was met there
// is no table of nothing.
func TestPageOfOneDriveAndNone(t *testing.T) {
	if page := pageOf(t, example()); !strings.Contains(page, "mean of 3, open") || !strings.Contains(page, "where the mean lies (95 %)") || !strings.Contains(page, "<table") {
		t.Error("the page of three drives a side has no means with their number and level, or no table")
	}
	v := example()
	v.Strata[0].DrivesBefore, v.Strata[0].DrivesAfter = 1, 1
	if page := pageOf(t, v); strings.Contains(page, "mean of") || strings.Contains(page, "20.0 K (") || !strings.Contains(page, "One drive has no interval.") || !strings.Contains(page, ">20.0 K<") {
		t.Error("one drive a side has a mean or an interval, or its value is gone")
	}
	v.Strata[0].DrivesBefore, v.Strata[0].DrivesAfter = 0, 0
	if page := pageOf(t, v); strings.Contains(page, "<table") {
		t.Error("a table without rows")
	}
}

// Lines of the grid keep off the words above the symbols.
func TestGridKeepsOffWords(t *testing.T) {
	p := example().picture()
	if len(p.Rows) != len(p.Points)+len(p.Means) {
		t.Fatalf("%d rows of the grid for %d drives and %d means", len(p.Rows), len(p.Points), len(p.Means))
	}
	var places []float64
	for _, m := range p.Points {
		places = append(places, m.Y)
	}
	for _, m := range p.Means {
		places = append(places, m.Y)
	}
	for _, y := range places {
		base, symbol := y-8, false // of 11 px: some 9 above the base, 3 below
		for _, from := range p.Rows {
			if from < base+3 && base-9 < from+15 {
				t.Errorf("a line from %v to %v crosses the words at %v", from, from+15, base)
			}
			symbol = symbol || from < y && y < from+15
		}
		if !symbol {
			t.Errorf("no line of the grid at the symbol at %v", y)
		}
	}
}

// An interval is drawn to its ends where that leaves the drives room, and has an
// arrow where it goes on; words over lines of the grid stand on the page's ground.
func TestPictureShowsWholeIntervals(t *testing.T) {
	for _, c := range []struct {
		high   Number
		beyond bool
	}{{26, false}, {90, true}} {
		v := example()
		v.Strata[0].RiseBefore.HighK = c.high
		p := v.picture()
		m := p.Means[0]
		if p.Beyond != c.beyond || len(m.Cut) > 0 != c.beyond || (m.High == right) != c.beyond {
			t.Errorf("high end %v: beyond %v, arrows %d, drawn to %v", c.high, p.Beyond, len(m.Cut), m.High)
		}
		if page := pageOf(t, v); strings.Contains(page, "further than is drawn") != c.beyond || !strings.Contains(page, "20.0 K (19.0 to ") {
			t.Errorf("high end %v: the page does not say it", c.high)
		}
		if drives := p.Points[0].X - p.Points[1].X; drives < 40 {
			t.Errorf("high end %v: 4 K are %v of 360 wide", c.high, drives)
		}
		for _, k := range p.Ticks {
			if strings.HasPrefix(k.Text, "-0 ") {
				t.Errorf("a tick says %q", k.Text)
			}
		}
	}
	if !regexp.MustCompile(`svg text \{[^}]*paint-order: stroke; stroke: var\(--paper\)`).MatchString(pageOf(t, example())) {
		t.Error("grid lines cross the words of the picture")
	}
}

// One drive a side has no interval in the document, its text or its page, and no
// shares of one; two a side have all.
func TestOneDriveASideHasNoInterval(t *testing.T) {
	kelvin := quantity.KindTemperatureDifference.Unit("K")
	wide := func(value float64) estimate.Estimate {
		e := estimate.Between("rise", value, kelvin, estimate.Interval{Low: value - 310, High: value + 310, Level: 0.95}, estimate.BetweenDrives, 4)
		e.Contributions = []estimate.Contribution{{Source: estimate.Source{Kind: estimate.Scatter, ID: "drives"}, Effect: 150}}
		return e
	}
	for drives, want := range map[int]bool{1: false, 2: true} {
		j := verdict.Judgement{Before: "open", After: "duct", Primary: "stopped", Strata: []verdict.StratumJudgement{{ID: "stopped", Name: "stopped", Word: "not comparable",
			Change: wide(-24), Before: wide(37), After: wide(13), DrivesBefore: drives, DrivesAfter: drives}}}
		v := VerdictOf(j)
		var text strings.Builder
		v.Text(&text)
		s := v.Strata[0]
		for what, got := range map[string]bool{"change": s.LowK.Known() || s.HighK.Known(), "level": s.Level.Known(), "before": s.RiseBefore.LowK.Known(), "after": s.RiseAfter.HighK.Known(), "budget": s.Budget != nil,
			"text": strings.Contains(text.String(), "−334.0 to 286.0 K"), "page": strings.Contains(pageOf(t, v), "286"), "bars": v.contributions() != nil} {
			if got != want {
				t.Errorf("%d a side: an interval in %s is %v", drives, what, got)
			}
		}
		for what, said := range map[string]string{"text": text.String(), "page": pageOf(t, v)} {
			if strings.Contains(said, "none: one drive a side") == want || !strings.Contains(said, "24.0 K") {
				t.Errorf("%d a side: the %s says\n%s", drives, what, said)
			}
		}
	}
}
