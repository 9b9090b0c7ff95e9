package help

import (
	"go/ast"
	"go/token"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/interpreter"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/meaning"
)

// standIn is written where a name is being completed, so that the cell
// parses and the checker looks at what stands around it. It is longer than any
// name, so that the error about it, which nobody sees, needs no search for a
// name that was meant.
const standIn = "zzCursor_a_name_that_is_being_written_and_not_yet_known_to_anybody"

// understood is a cell checked with the stand-in at the cursor.
type understood struct {
	*interpreter.Checked
	// path leads from the outermost node to the stand-in; nil where the cell
	// could not be parsed around it.
	path []ast.Node
}

// ident returns the stand-in.
func (u *understood) ident() *ast.Ident {
	if len(u.path) == 0 {
		return nil
	}
	id, _ := u.path[len(u.path)-1].(*ast.Ident)
	return id
}

// parent returns the node n levels above the stand-in.
func (u *understood) parent(n int) ast.Node {
	if i := len(u.path) - 1 - n; i >= 0 {
		return u.path[i]
	}
	return nil
}

// understand checks the cell with a name at the place. The text behind the
// cursor is kept where the whole parses, and else replaced by what closes the
// open brackets.
func (a *Assistant) understand(source string, p place) *understood {
	whole := source[:p.start] + standIn + source[p.end:]
	text := whole
	if !meaning.Parses(whole) {
		text = source[:p.start] + standIn + closing(p.tokens)
	}
	u := &understood{Checked: a.notebook.Check(text)}
	for _, d := range u.Decls {
		u.look(d, p.start)
	}
	for _, s := range u.Stmts {
		u.look(s, p.start)
	}
	return u
}

// look finds the identifier at an offset of the cell.
func (u *understood) look(root ast.Node, offset int) {
	if u.path != nil || root == nil {
		return
	}
	var stack []ast.Node
	ast.Inspect(root, func(n ast.Node) bool {
		if n == nil {
			stack = stack[:len(stack)-1]
			return true
		}
		stack = append(stack, n)
		if id, ok := n.(*ast.Ident); ok && u.path == nil && u.Offset(id.Pos()) == offset {
			u.path = append([]ast.Node(nil), stack...)
		}
		return true
	})
}

// closing completes a text that ends in a name: headers get a block, open
// brackets are closed.
func closing(tokens []meaning.Token) string {
	var b strings.Builder
	open := brackets(tokens)
	header := func(from int) {
		// The statement that is open at this level began at the last
		// semicolon or brace.
		depth, colon := 0, false
		for i := len(tokens) - 1; i >= 0 && tokens[i].Start > from; i-- {
			switch tokens[i].Tok {
			case token.RPAREN, token.RBRACE, token.RBRACK:
				depth++
			case token.LPAREN, token.LBRACE, token.LBRACK:
				depth--
			case token.IF, token.FOR, token.SWITCH:
				if depth <= 0 {
					b.WriteString(" {}")
				}
				return
			case token.COLON:
				colon = colon || depth == 0
			case token.CASE:
				if depth <= 0 && !colon {
					b.WriteString(":")
				}
				return
			case token.DEFER, token.GO:
				if depth == 0 {
					b.WriteString("()")
				}
				return
			case token.SEMICOLON:
				if depth == 0 && tokens[i].Text == "\n" {
					return
				}
			}
		}
	}
	for i := len(open) - 1; i >= 0; i-- {
		switch open[i].Tok {
		case token.LPAREN:
			b.WriteString(")")
		case token.LBRACK:
			b.WriteString("]")
		case token.LBRACE:
			header(open[i].Start)
			b.WriteString("}")
		}
	}
	if len(open) == 0 || open[0].Tok != token.LBRACE {
		header(-1)
	}
	return b.String()
}
