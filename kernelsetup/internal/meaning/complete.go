package meaning

import (
	"go/parser"
	"go/scanner"
	"go/token"
	"strings"
)

// State says whether a cell can run as it is.
type State int

// The states of a cell.
const (
	Complete   State = iota
	Incomplete       // another line may complete it
	Invalid          // no further line can mend it
)

// Completeness tells whether a cell wants another line: an open bracket, raw
// string or comment does, and so does a line that ends in an operator. indent
// is what the next line may begin with.
func Completeness(text string) (state State, indent string) {
	if special, ok := Special(text); ok {
		if special.open() {
			return Incomplete, special.prefix()
		}
		return Complete, ""
	}
	_, text = Gets(text)
	_, errs := NewPlaces(token.NewFileSet()).Parse("", text)
	tokens, complaints := scan([]byte(text), false)
	depth := Open(tokens)
	if wantsMore(tokens, complaints, depth, errs) {
		return Incomplete, strings.Repeat("\t", max(depth, 0))
	}
	if len(errs) > 0 {
		return Invalid, ""
	}
	return Complete, ""
}

// wantsMore reports whether a cell ends inside a bracket, a raw string or a
// comment, or behind an operator, and nothing before is wrong.
func wantsMore(tokens []Token, complaints []string, depth int, errs scanner.ErrorList) bool {
	for _, c := range complaints {
		return unterminated(c) // the first one counts
	}
	if len(tokens) == 0 || len(errs) == 0 {
		return false
	}
	last := tokens[len(tokens)-1]
	if depth <= 0 && last.Tok == token.SEMICOLON {
		return false
	}
	// What is wrong must be that it ends.
	return errs[0].Pos.Offset >= last.Start
}

// Parses reports whether a cell parses.
func Parses(text string) bool {
	_, errs := NewPlaces(token.NewFileSet()).Parse("", text)
	return len(errs) == 0
}

// mode is how files are parsed.
const mode = parser.ParseComments | parser.SkipObjectResolution | parser.AllErrors
