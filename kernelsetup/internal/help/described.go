package help

import (
	"go/token"
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/meaning"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// explainName explains a text between quotes at the cursor that a variable of the
// notebook knows as a name, such as that of a column: the variable whose method
// takes it, else all that know it.
func (a *Assistant) explainName(tokens []meaning.Token, cursor int) *explanation {
	i := slices.IndexFunc(tokens, func(t meaning.Token) bool {
		return t.Tok == token.STRING && t.Start <= cursor && cursor <= t.End
	})
	if i < 0 || inImport(tokens[:i]) {
		return nil
	}
	name, err := strconv.Unquote(tokens[i].Text)
	if err != nil || name == "" {
		return nil
	}
	told := map[string]string{} // by variable
	for variable, v := range variables[notebook.Describer](a) {
		if text := answerOf(a, func() string { return v.DescribeName(name) }); text != "" {
			told[variable] = text
		}
	}
	if of := receiver(tokens[:i]); told[of] != "" {
		return &explanation{signature: strconv.Quote(name), text: of + ": " + told[of]}
	}
	var lines []string
	for _, v := range slices.Sorted(maps.Keys(told)) {
		lines = append(lines, v+": "+told[v])
	}
	if len(lines) == 0 {
		return nil
	}
	return &explanation{signature: strconv.Quote(name), text: strings.Join(lines, "\n")}
}

// receiver is the variable at the start of the chain of calls, in whose innermost
// open bracket the next token stands: f in f.Filter(a).Group("…".
func receiver(tokens []meaning.Token) string {
	open := brackets(tokens)
	if len(open) == 0 {
		return ""
	}
	i := slices.IndexFunc(tokens, func(t meaning.Token) bool { return t.Start == open[len(open)-1].Start }) - 1
	for i >= 0 {
		switch tokens[i].Tok {
		case token.RPAREN, token.RBRACK:
			for depth := 0; i >= 0; i-- {
				if t := tokens[i].Tok; t == token.RPAREN || t == token.RBRACK {
					depth++
				} else if t == token.LPAREN || t == token.LBRACK {
					if depth--; depth == 0 {
						break
					}
				}
			}
			i--
		case token.IDENT:
			if i == 0 || tokens[i-1].Tok != token.PERIOD {
				return tokens[i].Text
			}
			i -= 2
		default:
			return ""
		}
	}
	return ""
}
