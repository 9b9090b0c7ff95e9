package interpreter

import (
	"fmt"
	"go/token"
	"regexp"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/meaning"
)

var tightComma = regexp.MustCompile(`,[0-9]`)

// decimalCommas tells of numbers that somebody who writes decimal commas may
// have meant and that Go takes for two: 57,5 as a cell's value, and 20,5 in a
// list whose other commas have a blank behind them. What else is written so
// does not compile, and gets a hint.
func decimalCommas(text []byte) (notes []string) {
	if !tightComma.Match(text) {
		return nil // as in most cells, which need not be scanned once more
	}
	toks := meaning.Tokens(text, false)
	is := func(i int, tok token.Token) bool { return i >= 0 && i < len(toks) && toks[i].Tok == tok }
	// tight is a comma between two things, with no blank behind it.
	tight := func(i int) bool {
		return is(i, token.COMMA) && i+1 < len(toks) && toks[i].End == toks[i+1].Start && toks[i+1].Tok != token.SEMICOLON
	}
	type list struct {
		pairs []string
		loose bool // another comma has a blank behind it
	}
	lists := []list{{}}
	for i, t := range toks {
		here := &lists[len(lists)-1]
		switch t.Tok {
		case token.LPAREN, token.LBRACK, token.LBRACE:
			lists = append(lists, list{})
		case token.RPAREN, token.RBRACK, token.RBRACE:
			if len(lists) == 1 {
				return notes
			}
			if here.loose {
				notes = append(notes, here.pairs...)
			}
			lists = lists[:len(lists)-1]
		case token.COMMA:
			if !tight(i) {
				here.loose = true
				continue
			}
			if !is(i-1, token.INT) || !is(i+1, token.INT) || tight(i-2) || tight(i+2) {
				continue
			}
			note := fmt.Sprintf("%[1]s,%[2]s is two numbers, %[1]s and %[2]s. A decimal number has a point: %[1]s.%[2]s", toks[i-1].Text, toks[i+1].Text)
			alone := (i == 1 || is(i-2, token.SEMICOLON)) && (i+2 == len(toks) || is(i+2, token.SEMICOLON))
			if len(lists) == 1 && alone {
				notes = append(notes, note)
			}
			here.pairs = append(here.pairs, note)
		}
	}
	return notes
}
