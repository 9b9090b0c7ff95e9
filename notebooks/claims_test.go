package notebooks

import (
	"fmt"
	"regexp"
	"strings"
	"testing"
)

// A text cell that comments on a result states findings: "the village is the
// worst", "about ten minutes". Numbers move when data or methods change, and
// prose does not. So every sentence that could be a finding is marked in the
// cell's metadata, in one of two lists:
//
//	"bonnetbook": {
//	  "claims":   [{"says": "While the thermostat was closed", "holds": "Go condition"}],
//	  "explains": ["The scale on the right"]
//	}
//
// "says" and the entries of "explains" are the beginning of the sentence.
// "holds" is a Go condition over the notebook's own variables, checked by the
// kernel where the text stands. "explains" is for sentences that are true
// whatever the data: definitions, instructions, questions.
type marks struct {
	Claims []struct {
		Says, Holds string
	}
	Explains []string
	Exercise *asked // see exercises_test.go
}

// sentence is one sentence of a text cell.
type sentence struct {
	text string
	// result: it stands between a code cell and the next heading, where
	// results are told.
	result bool
}

var (
	fence   = regexp.MustCompile("(?s)```.*?```")
	spans   = regexp.MustCompile("`[^`]*`")
	endings = regexp.MustCompile(`[.!?…]["”)*]*\s+`)
	listed  = regexp.MustCompile(`^[0-9]+\. `)
	digits  = regexp.MustCompile(`[0-9]`)
	// pointers are numbers that name a notebook or say how long it takes.
	pointers = regexp.MustCompile(`(?i)notebooks? [0-9]{2}(?:,? and [0-9]{2})?|\*\*(?:Next|Or skip to|Or):?\*\*:? [0-9]{2}|skip to\*\* [0-9]{2}|[0-9]+ minutes? (?:reading|exercises)`)
)

// sentencesOf cuts a text cell into sentences.
func sentencesOf(source string, afterCode bool) (all []sentence) {
	result := afterCode
	for _, paragraph := range strings.Split(fence.ReplaceAllString(source, ""), "\n") {
		paragraph = strings.TrimSpace(strings.TrimLeft(paragraph, "> -"))
		paragraph = listed.ReplaceAllString(paragraph, "")
		if strings.HasPrefix(paragraph, "#") {
			result = false
			continue // a heading names, it does not tell
		}
		for from := 0; from < len(paragraph); {
			to := len(paragraph)
			if end := endings.FindStringIndex(paragraph[from:]); end != nil {
				to = from + end[1]
			}
			all = append(all, sentence{strings.TrimSpace(paragraph[from:to]), result})
			from = to
		}
	}
	return all
}

// couldBeFinding reports whether a sentence must be marked.
func (s sentence) couldBeFinding() bool {
	return s.result || digits.MatchString(pointers.ReplaceAllString(spans.ReplaceAllString(s.text, ""), ""))
}

func (m marks) covers(s string) bool {
	for _, c := range m.Claims {
		if c.Says != "" && strings.HasPrefix(s, c.Says) {
			return true
		}
	}
	for _, e := range m.Explains {
		if e != "" && strings.HasPrefix(s, e) {
			return true
		}
	}
	return false
}

// TestEveryFindingIsMarked finds sentences that nobody has marked, and marks
// that belong to no sentence.
func TestEveryFindingIsMarked(t *testing.T) {
	for _, path := range all(t) {
		f := read(t, path)
		for i, c := range f.Cells {
			if c.Kind != "markdown" {
				continue
			}
			found := sentencesOf(string(c.Source), i > 0 && f.Cells[i-1].Kind == "code")
			for _, s := range found {
				if s.couldBeFinding() && !c.Metadata.Bonnetbook.covers(s.text) {
					t.Errorf("%s, cell %d: is this a finding? Add it to the cell's metadata as a claim, or under \"explains\":\n\t%s", path, i+1, s.text)
				}
			}
			for _, begin := range c.Metadata.Bonnetbook.beginnings() {
				if !startsAny(found, begin) {
					t.Errorf("%s, cell %d: no sentence begins with %q", path, i+1, begin)
				}
			}
		}
	}
}

func (m marks) beginnings() (all []string) {
	for _, c := range m.Claims {
		all = append(all, c.Says)
	}
	return append(all, m.Explains...)
}

func startsAny(found []sentence, begin string) bool {
	for _, s := range found {
		if strings.HasPrefix(s.text, begin) {
			return true
		}
	}
	return false
}

// TestClaims runs every notebook with a check behind each text cell that makes
// claims, and fails where a claim does not hold in what the cells computed.
func TestClaims(t *testing.T) {
	exe, err := program()
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range all(t) {
		t.Run(path, func(t *testing.T) {
			t.Parallel()
			checked, claims := withChecks(t, path)
			if len(claims) == 0 {
				return
			}
			ran, _ := ranCopy(t, exe, "checked", checked)
			for _, c := range ran.code() {
				for _, o := range c.Outputs {
					if o.Kind == "error" && strings.Contains(string(c.Source), "// claim: ") {
						t.Errorf("%s: %s\n%s", path, o.Value, c.Source)
					}
				}
			}
		})
	}
}

// withChecks writes a copy of the notebook with one code cell behind each text
// cell for each of its claims.
func withChecks(t *testing.T, path string) (copied string, claims []string) {
	t.Helper()
	copied = widened(t, "checked", path, func(i int, c cell) (checks []any) {
		for k, m := range c.Metadata.Bonnetbook.Claims {
			claims = append(claims, m.Says)
			checks = append(checks, codeCell(fmt.Sprintf("claim-%d-%d", i, k), fmt.Sprintf("// claim: %s\nif holds := %s; !holds {\n\tpanic(%q)\n}",
				m.Says, m.Holds, "the text says what the cells do not bear out: "+m.Says)))
		}
		return checks
	})
	return copied, claims
}
