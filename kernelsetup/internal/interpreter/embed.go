package interpreter

import (
	"fmt"
	"go/ast"
	"go/token"
	"go/types"
	"os"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"
	"unicode"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/abi"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/modules"
)

// embedding is a variable of a package from source that //go:embed fills from
// files.
type embedding struct {
	pos      token.Pos // of the first line
	name     *ast.Ident
	patterns []string
}

const embedMark = "//go:embed"

// embeddings finds the variables that //go:embed lines of a file stand above.
// The errors are the compiler's.
func embeddings(f *ast.File) (list []embedding, pos token.Pos, err error) {
	var last *ast.ValueSpec
	for _, g := range f.Comments {
		for _, c := range g.List {
			rest, ok := strings.CutPrefix(c.Text, embedMark)
			if !ok || rest != "" && !unicode.IsSpace(rune(rest[0])) {
				continue
			}
			patterns, err := splitPatterns(rest)
			if err != nil {
				return nil, c.Pos(), err
			}
			spec := variableBelow(f, c.End())
			switch {
			case !importsEmbed(f):
				return nil, c.Pos(), fmt.Errorf("go:embed only allowed in Go files that import \"embed\"")
			case spec == nil:
				return nil, c.Pos(), fmt.Errorf("misplaced go:embed directive")
			case len(spec.Names) > 1:
				return nil, c.Pos(), fmt.Errorf("go:embed cannot apply to multiple vars")
			case len(spec.Values) > 0:
				return nil, c.Pos(), fmt.Errorf("go:embed cannot apply to var with initializer")
			case spec == last:
				list[len(list)-1].patterns = append(list[len(list)-1].patterns, patterns...)
			default:
				list = append(list, embedding{c.Pos(), spec.Names[0], patterns})
			}
			last = spec
		}
	}
	return list, token.NoPos, nil
}

func importsEmbed(f *ast.File) bool {
	for _, imp := range f.Imports {
		if imp.Path.Value == `"embed"` {
			return true
		}
	}
	return false
}

// variableBelow returns the declaration of variables of a package that comes
// next, nil where something else does.
func variableBelow(f *ast.File, pos token.Pos) *ast.ValueSpec {
	for _, d := range f.Decls {
		if d.End() < pos {
			continue
		}
		g, ok := d.(*ast.GenDecl)
		if !ok || g.Tok != token.VAR || d.Pos() < pos && !g.Lparen.IsValid() {
			return nil
		}
		for _, s := range g.Specs {
			if s.Pos() > pos {
				return s.(*ast.ValueSpec)
			}
		}
		return nil
	}
	return nil
}

// splitPatterns takes the patterns of a line apart; those with spaces are
// quoted as Go quotes.
func splitPatterns(text string) (list []string, err error) {
	for text = strings.TrimSpace(text); text != ""; text = strings.TrimSpace(text) {
		if text[0] != '"' && text[0] != '`' {
			end := strings.IndexFunc(text, unicode.IsSpace)
			if end < 0 {
				end = len(text)
			}
			list, text = append(list, text[:end]), text[end:]
			continue
		}
		quoted, err := strconv.QuotedPrefix(text)
		if err != nil {
			return nil, fmt.Errorf("invalid quoted string in //go:embed: %s", text)
		}
		p, _ := strconv.Unquote(quoted)
		list, text = append(list, p), text[len(quoted):]
	}
	if len(list) == 0 {
		return nil, fmt.Errorf("usage: //go:embed pattern...")
	}
	return list, nil
}

// value reads the files for a variable of type t and returns its value.
func (e embedding) value(dir string, t types.Type) (any, error) {
	names, err := modules.Embedded(dir, e.patterns)
	if err != nil {
		return nil, err
	}
	files := map[string]string{}
	for _, n := range names {
		data, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(n)))
		if err != nil {
			return nil, err
		}
		files[n] = string(data)
	}
	if n, ok := types.Unalias(t).(*types.Named); ok && n.Obj().Name() == "FS" && n.Obj().Pkg() != nil && n.Obj().Pkg().Path() == "embed" {
		return abi.EmbedFS(files)
	}
	if len(names) > 1 {
		return nil, fmt.Errorf("invalid go:embed: multiple files for type %s", t)
	}
	switch u := t.Underlying().(type) {
	case *types.Basic:
		if u.Kind() == types.String {
			return files[names[0]], nil
		}
	case *types.Slice:
		if b, ok := u.Elem().Underlying().(*types.Basic); ok && b.Kind() == types.Byte {
			return []byte(files[names[0]]), nil
		}
	}
	return nil, fmt.Errorf("go:embed cannot apply to var of type %s", t)
}

// embed reads what the package's variables embed.
func (src *checkedSource) embed() (pos token.Pos, err error) {
	var all []embedding
	for _, f := range src.files {
		list, pos, err := embeddings(f)
		if err != nil {
			return pos, err
		}
		for _, e := range list {
			src.patterns = append(src.patterns, e.patterns...)
		}
		all = append(all, list...)
	}
	if len(all) == 0 {
		return token.NoPos, nil
	}
	src.stamp = src.stampNow()
	src.embedded = map[*types.Var]any{}
	for _, e := range all {
		v, ok := src.info.Defs[e.name].(*types.Var)
		if !ok {
			continue
		}
		if src.embedded[v], err = e.value(src.dir, v.Type()); err != nil {
			return e.pos, err
		}
	}
	return token.NoPos, nil
}

// setEmbedded stores what a variable embeds.
func setEmbedded(to reflect.Value, value any) { to.Set(reflect.ValueOf(value).Convert(to.Type())) }
