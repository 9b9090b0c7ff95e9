package notebooks

import (
	"cmp"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// term is a word that somebody who drives does not bring along.
type term struct {
	// word is its name in docs/GLOSSARY.md, used finds it in a text; empty is
	// the word itself.
	word, used string
	// notebook explains it, in the cell that holds explains.
	notebook, explains string
}

// terms are the words in the order in which the notebooks explain them.
var terms = []term{
	{word: "variable", notebook: "01", explains: "a variable: := makes a name for a value"},
	{word: "slice", notebook: "01", explains: "a slice: several values in a row"},
	{word: "loop", notebook: "01", explains: "a loop: do it once"},
	{word: "package", notebook: "01", explains: "a box of ready-made parts"},
	{word: "configuration", notebook: "01", explains: "what was mounted (the *configuration*)"},
	{word: "campaign", used: `\*campaign\*|campaign file`, notebook: "01", explains: "A *campaign* is"},
	{word: "channel", notebook: "01", explains: "A *channel* is"},
	{word: "engine bay", notebook: "01", explains: "The *engine bay* is"},
	{word: "intake", notebook: "01", explains: "the *intake* the place"},
	{word: "top tank", notebook: "01", explains: "*top tank*, into which"},
	{word: "thermostat", notebook: "01", explains: "the *thermostat*, a valve"},
	{word: "ambient", notebook: "01", explains: "*Ambient* is the air outside"},
	{word: "kelvin, K", used: `kelvins?\b|[0-9] K\b`, notebook: "01", explains: "told in kelvin, K"},
	{word: "rise", notebook: "01", explains: "The *rise* is how much"},
	{word: "interval", notebook: "01", explains: "an *interval* that holds"},
	{word: "stamp", notebook: "01", explains: "*stamp*, the temperature written"},
	{word: "stop-and-go", notebook: "01", explains: "*stop-and-go* is slow"},
	{word: "steady", notebook: "01", explains: "*steady* holds its speed"},
	{word: "open road", notebook: "01", explains: "*open road* is everything"},
	{word: "account", used: `accounts?\b`, notebook: "02", explains: "The *account* says"},
	{word: "UTC", notebook: "02", explains: "*UTC*, the clock time"},
	{word: "layout", notebook: "02", explains: "is its *layout*"},
	{word: "offset", notebook: "03", explains: "The *offset* is what"},
	{word: "log-likelihood", used: `likelihood`, notebook: "03", explains: "called *log-likelihood*"},
	{word: "uncertainty", used: `uncertaint(?:y|ies)\b`, notebook: "03", explains: "an *uncertainty*: nobody"},
	{word: "drift", used: `drifts?\b`, notebook: "03", explains: "that is its *drift*"},
	{word: "thermocouple", used: `thermocouples?\b`, notebook: "04", explains: "a *thermocouple*, two wires"},
	{word: "gain", used: `a gain\b|\*gain\*`, notebook: "04", explains: "a *gain*, which grows"},
	{word: "calibrate", used: `calibrat`, notebook: "04", explains: "is to *calibrate* the probe"},
	{word: "lag", used: `lags?\b`, notebook: "04", explains: "A probe *lags*"},
	{word: "time constant", notebook: "04", explains: "After one *time constant*"},
	{word: "mean", used: `\b(?:the|their|moving) \*?mean\b`, notebook: "04", explains: "their *mean*, the sum divided"},
	{word: "cold junction", notebook: "04", explains: "the *cold junction*"},
	{word: "bottom tank", notebook: "05", explains: "The *bottom tank* is"},
	{word: "onset", notebook: "05", explains: "the *onset*, the moment"},
	{word: "warm-up", notebook: "06", explains: "the *warm-up* of the engine"},
	{word: "heat soak", used: `soak`, notebook: "06", explains: "the *heat soak* of a long stop"},
	{word: "settled", notebook: "06", explains: "A stretch is *settled* when"},
	{word: "hysteresis", notebook: "06", explains: "two limits (a hysteresis)"},
	{word: "mixing fraction", notebook: "07", explains: "The *mixing fraction* is"},
	{word: "effectiveness", notebook: "07", explains: "The radiator's *effectiveness* is"},
	{word: "NTU", notebook: ""},
	{word: "density", used: `densit(?:y|ies)\b`, notebook: "08", explains: "the *density* of moist air"},
	{word: "vapour pressure", notebook: "08", explains: "the *vapour pressure*, the part"},
	{word: "histogram", notebook: "13", explains: "each kelvin of rise: a *histogram*"},
	{word: "moving mean", notebook: "13", explains: "A *moving mean* takes"},
	{word: "Pearson's coefficient", used: `Pearson`, notebook: "13", explains: "*Pearson's coefficient* is"},
	{word: "median", notebook: "13", explains: "the *median* of its configuration, the one in the middle"},
}

func (w term) find(text string) bool {
	used := w.used
	if used == "" {
		used = regexp.QuoteMeta(w.word) + `\b`
	}
	return regexp.MustCompile(`(?i)` + used).MatchString(text)
}

// Whoever goes the way of the notebooks meets no word before it is explained; a
// cell may use a word that it explains itself. A word that none explains stands
// nowhere. The glossary has them all.
func TestTermsAreExplainedFirst(t *testing.T) {
	glossary, err := os.ReadFile("../docs/GLOSSARY.md")
	if err != nil {
		t.Fatal(err)
	}
	told := map[string]string{} // by word: the notebook that the glossary names
	for _, m := range entry.FindAllStringSubmatch(string(glossary), -1) {
		told[m[1]] = m[2]
	}
	for _, w := range terms {
		if got := told[w.word]; got != cmp.Or(w.notebook, "–") {
			t.Errorf("%s: docs/GLOSSARY.md names notebook %q, it is explained in %q", w.word, got, w.notebook)
		}
		delete(told, w.word)
		known := false
		for _, path := range all(t) {
			for i, c := range read(t, path).Cells {
				told := w.explains != "" && strings.HasPrefix(path, w.notebook) && strings.Contains(string(c.Source), w.explains)
				known = known || told
				if c.Kind == "markdown" && !known && w.find(fence.ReplaceAllString(spans.ReplaceAllString(string(c.Source), ""), "")) {
					t.Errorf("%s, cell %d uses %q, which is explained later or never:\n%s", path, i+1, w.word, c.Source)
				}
			}
		}
		if !known && w.notebook != "" {
			t.Errorf("%q: notebook %s holds no cell with %q", w.word, w.notebook, w.explains)
		}
	}
	for word := range told {
		t.Errorf("docs/GLOSSARY.md has %q, of which nothing here says where it is explained", word)
	}
}

// entry is a line of the glossary's tables.
var entry = regexp.MustCompile(`(?m)^\| ([^|]+) \|[^|]+\| (\d\d|–) \|$`)

// evening are the notebooks of the shortest way.
var evening = []string{"01", "11", "12"}

func eveningWay(t *testing.T) []string {
	t.Helper()
	return slices.DeleteFunc(all(t), func(path string) bool { return !slices.Contains(evening, path[:2]) })
}

var needed = regexp.MustCompile(`Needed before: notebooks? ([^.]*)\.`)

// Whoever goes the shortest way is not told to have gone another one before.
func TestEveningWayNeedsItself(t *testing.T) {
	for _, path := range eveningWay(t) {
		m := needed.FindStringSubmatch(string(read(t, path).Cells[0].Source))
		if m == nil {
			continue // the first one
		}
		for _, n := range regexp.MustCompile(`\d\d`).FindAllString(m[1], -1) {
			if !slices.Contains(evening, n) || n >= path[:2] {
				t.Errorf("%s needs notebook %s before", path, n)
			}
		}
	}
}

// TestTermsOfTheEveningWay reports the words for which somebody on the shortest
// way needs the glossary: used there, explained in a notebook that is left out.
func TestTermsOfTheEveningWay(t *testing.T) {
	for _, path := range eveningWay(t) {
		var open []string
		for _, w := range terms {
			for _, c := range read(t, path).Cells {
				if c.Kind == "markdown" && !slices.Contains(evening, w.notebook) && w.find(spans.ReplaceAllString(string(c.Source), "")) {
					open = append(open, w.word)
					break
				}
			}
		}
		t.Logf("%s leaves to the glossary: %s", path, strings.Join(open, ", "))
		if len(open) > 12 {
			t.Errorf("%s leaves %d words to the glossary; 12 at most", path, len(open))
		}
	}
}

var stated = regexp.MustCompile(`(\d+) minutes reading(?:, (\d+) minutes exercises)?`)

// Minutes of an exercise with its check, words a person reads in a minute, and
// minutes to run a cell and to look at what it shows: common practice, no source.
const (
	exerciseMinutes = 3
	wordsAMinute    = 200
	cellMinutes     = 0.5
)

// Each notebook says what it takes, and that is what its words and exercises
// come to, within a quarter; none takes more than 25 minutes.
func TestMinutes(t *testing.T) {
	for _, path := range all(t) {
		f := read(t, path)
		reading, exercises := effort(f)
		m := stated.FindStringSubmatch(string(f.Cells[0].Source))
		if m == nil {
			t.Errorf("%s: the first cell states no minutes; write \"%.0f minutes reading, %.0f minutes exercises.\"", path, reading, exercises)
			continue
		}
		for i, want := range []float64{reading, exercises} {
			said, _ := strconv.ParseFloat(m[i+1], 64) // empty is none
			if math.Abs(said-want) > max(0.25*want, 1.5) {
				t.Errorf("%s says %q and comes to %.0f minutes reading, %.0f minutes exercises", path, m[0], reading, exercises)
			}
		}
		if reading+exercises > 25 {
			t.Errorf("%s takes %.0f minutes; 25 at most: cut it in two", path, reading+exercises)
		}
	}
}

// effort returns the minutes of reading and running, and of the exercises with
// a check. A bonus is for those who have time left.
func effort(f file) (reading, exercises float64) {
	for i, c := range f.Cells {
		switch {
		case c.Kind == "markdown":
			text, _, _ := strings.Cut(string(c.Source), "### Bonus")
			reading += float64(len(strings.Fields(text))) / wordsAMinute
		case c.Metadata.Bonnetbook.Exercise != nil:
			exercises += exerciseMinutes
		case i > 0 && f.Cells[i-1].Metadata.Bonnetbook.Exercise != nil: // its check
		default:
			reading += cellMinutes
		}
	}
	return reading, exercises
}

// Nobody reads for longer than a quarter of an hour before something can be
// checked (every 5 to 15 minutes: common practice, no source); what is checked is
// part of that time.
func TestChecksComeOften(t *testing.T) {
	const most = 15 // minutes
	for _, path := range all(t) {
		cells, last := read(t, path).Cells, 0
		for i, c := range cells {
			if c.Metadata.Bonnetbook.Exercise == nil {
				continue
			}
			reading, exercises := effort(file{Cells: cells[last : i+1]})
			if reading+exercises > most {
				t.Errorf("%s: %.1f minutes until the check of %s, more than %d", path, reading+exercises, c.Metadata.Bonnetbook.Exercise.ID, most)
			}
			last = i + 2 // behind its check
		}
	}
}

// A notebook begins with one question and one line of code, and ends with its
// key points and with where to go next.
func TestFrame(t *testing.T) {
	question := regexp.MustCompile(`^# [^\n]+\n\n\*\*[^*\n]+[?.]\*\*\n`)
	for _, path := range all(t) {
		cells := read(t, path).Cells
		if !question.MatchString(string(cells[0].Source)) {
			t.Errorf("%s: the first cell is a title and one question in bold, not\n%s", path, cells[0].Source)
		}
		if first := string(read(t, path).code()[0].Source); first != "use bonnetbook" {
			t.Errorf("%s: the first code is one line, the same everywhere, not\n%s", path, first)
		}
		last := string(cells[len(cells)-1].Source)
		for _, want := range []string{"## Key points", "## In practice", "**Next:**"} {
			if !strings.Contains(last, want) {
				t.Errorf("%s: the last cell has no %q", path, want)
			}
		}
		if !strings.Contains(string(cells[0].Source), "../docs/GLOSSARY.md") {
			t.Errorf("%s: the first cell does not lead to the glossary", path)
		}
	}
}

var (
	link    = regexp.MustCompile(`\[[^\]\n]*\]\(([^)\s]+)\)`)
	heading = regexp.MustCompile(`(?m)^#+ (.+)$`)
	unsaid  = regexp.MustCompile(`[^\p{L}\p{N}_ -]`)
)

// Links within the project lead to a file that is there, and to a heading that
// it has, as web pages make names of headings.
func TestLinks(t *testing.T) {
	var pages []string
	for _, pattern := range []string{"../*.md", "../docs/*.md", "../notebooks/testdata/*/*.md"} {
		found, err := filepath.Glob(pattern)
		if err != nil {
			t.Fatal(err)
		}
		pages = append(pages, found...)
	}
	if len(pages) < 5 {
		t.Fatal(pages)
	}
	count := 0
	check := func(from, text string) {
		for _, m := range link.FindAllStringSubmatch(fence.ReplaceAllString(text, ""), -1) {
			if strings.Contains(m[1], "://") || strings.HasPrefix(m[1], "mailto:") || strings.HasPrefix(m[1], "attachment:") {
				continue
			}
			count++
			path, anchor, _ := strings.Cut(m[1], "#")
			target := from
			if path != "" {
				target = filepath.Join(filepath.Dir(from), filepath.FromSlash(path))
			}
			if _, err := os.Stat(target); err != nil {
				t.Errorf("%s: the link %s leads nowhere", from, m[1])
			} else if anchor != "" && !slices.Contains(anchors(t, target), anchor) {
				t.Errorf("%s: %s has no heading #%s", from, target, anchor)
			}
		}
	}
	for _, path := range pages {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		check(path, string(data))
	}
	for _, path := range all(t) {
		for _, c := range read(t, path).Cells {
			if c.Kind == "markdown" {
				check(path, string(c.Source))
			}
		}
	}
	if count < 10 {
		t.Errorf("%d links found", count)
	}
}

func anchors(t *testing.T, path string) (names []string) {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range heading.FindAllStringSubmatch(string(data), -1) {
		names = append(names, strings.ReplaceAll(unsaid.ReplaceAllString(strings.ToLower(m[1]), ""), " ", "-"))
	}
	return names
}

// The evening way is for somebody who never wrote a program. How hard its prose
// is to read is reported, by Flesch's reading ease and the grade of Kincaid
// (from memory); syllables are counted by groups of vowels. 60 and above is
// plain English that a 14-year-old follows.
func TestReadability(t *testing.T) {
	for _, path := range eveningWay(t) {
		words, sentences, syllables := 0, 0, 0
		for _, c := range read(t, path).Cells {
			if c.Kind != "markdown" {
				continue
			}
			for _, s := range sentencesOf(spans.ReplaceAllString(string(c.Source), "it"), false) {
				found := letters.FindAllString(s.text, -1)
				if len(found) < 3 {
					continue
				}
				sentences++
				words += len(found)
				for _, w := range found {
					syllables += syllablesOf(w)
				}
			}
		}
		if sentences == 0 {
			t.Fatalf("%s has no prose", path)
		}
		length, weight := float64(words)/float64(sentences), float64(syllables)/float64(words)
		ease, grade := 206.835-1.015*length-84.6*weight, 0.39*length+11.8*weight-15.59
		t.Logf("%s: reading ease %.0f, grade %.1f (%d words, %.1f a sentence, %.2f syllables a word)", path, ease, grade, words, length, weight)
		if ease < 50 {
			t.Errorf("%s: reading ease %.0f is that of a textbook; shorten sentences", path, ease)
		}
	}
}

var (
	letters = regexp.MustCompile(`\p{L}+(?:[’']\p{L}+)?`)
	vowels  = regexp.MustCompile(`[aeiouy]+`)
)

// syllablesOf counts groups of vowels, without an e that ends the word.
func syllablesOf(word string) int {
	word = strings.ToLower(word)
	n := len(vowels.FindAllString(word, -1))
	if n > 1 && strings.HasSuffix(word, "e") && !strings.HasSuffix(word, "le") {
		n--
	}
	return max(n, 1)
}
