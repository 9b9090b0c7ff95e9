package pkg_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// shownFields are fields that hold a text for a person. What a program decides
// on has a kind, an identity or an error value beside them.
var shownFields = []string{"Text", "Reason", "Why", "Message", "Says", "NotSettled", "Meaning", "Stratum", "Note", "Remark"}

// shownMethods make such a text.
var shownMethods = []string{"String", "Error"}

// askingText are functions of package strings that ask a text something.
var askingText = []string{"Contains", "HasPrefix", "HasSuffix", "EqualFold", "Index", "Cut", "CutPrefix", "Count"}

// textsAsked are the places where such a field is asked all the same, and why
// that decides nothing.
var textsAsked = []struct{ file, field, why string }{
	{"campaign/calibration.go", "Note", "an empty note is not written"},
	{"sensor/calibration.go", "Note", "an empty note is not shown"},
	{"notebook/table.go", "Note", "an empty note is not shown"},
	{"recording/account/detection.go", "Reason", "an empty reason is not shown"},
	{"recording/internal/detect/detect.go", "Reason", "an empty reason is not noted"},
	{"recording/internal/detect/position.go", "Reason", "a unit that has been found has a reason, whatever its words"},
	{"recording/internal/detect/longformat.go", "Text", "the kind of a cell"},
	{"recording/internal/delimited/long.go", "Text", "the kind of a cell"},
	{"frame/internal/file/csv.go", "Text", "the type of a column"},
	{"frame/internal/record/into.go", "Text", "the type of a column"},
	{"campaign/internal/draft/save.go", "Text", "a whole file, compared with what is to be written"},
	{"recording/internal/grid/header.go", "Text", "the kind of a cell"},
	{"recording/internal/grid/damaged.go", "Text", "the kind of a cell"},
	{"recording/internal/grid/othernames.go", "Text", "the kind of a cell"},
	{"recording/internal/plan/header.go", "Text", "the kind of a cell"},
	{"recording/internal/source/texts.go", "Text", "the line of a file, not yet fetched"},
	{"recording/finish.go", "Reason", "cells with one reason are counted together"},
	{"recording/internal/delimited/padded.go", "Reason", "one of the constants Miss…, which tell reasons apart"},
	{"recording/internal/table/tally.go", "Reason", "one of the constants Miss…, which tell reasons apart"},
}

// No decision rests on a text that is shown: renaming or rewording changes
// nothing but words.
func TestNoDecisionOnShownText(t *testing.T) {
	used := make([]bool, len(textsAsked))
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") || strings.HasPrefix(path, "internal/judge") {
			return err
		}
		fset := token.NewFileSet()
		f, err := parser.ParseFile(fset, path, nil, 0)
		if err != nil {
			return err
		}
		ast.Inspect(f, func(n ast.Node) bool {
			for _, e := range asked(n) {
				text := shownText(e)
				known := slices.IndexFunc(textsAsked, func(x struct{ file, field, why string }) bool {
					return x.file == filepath.ToSlash(path) && x.field == text
				})
				switch {
				case text == "":
				case known >= 0:
					used[known] = true
				default:
					t.Errorf("%v: decides on %s, a text that is shown", fset.Position(e.Pos()), text)
				}
			}
			return true
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for i, x := range textsAsked {
		if !used[i] {
			t.Errorf("%s no longer asks %s: take it out of the list", x.file, x.field)
		}
	}
}

// asked returns the expressions on which the node decides.
func asked(n ast.Node) []ast.Expr {
	switch n := n.(type) {
	case *ast.BinaryExpr:
		if n.Op == token.EQL || n.Op == token.NEQ {
			return []ast.Expr{n.X, n.Y}
		}
	case *ast.SwitchStmt:
		return []ast.Expr{n.Tag}
	case *ast.CallExpr:
		s, ok := n.Fun.(*ast.SelectorExpr)
		if !ok || len(n.Args) == 0 {
			return nil
		}
		if p, ok := s.X.(*ast.Ident); ok && p.Name == "strings" && slices.Contains(askingText, s.Sel.Name) {
			return n.Args[:1]
		}
	}
	return nil
}

// shownText names the shown text that the expression is, or nothing.
func shownText(e ast.Expr) string {
	switch e := e.(type) {
	case *ast.SelectorExpr:
		if slices.Contains(shownFields, e.Sel.Name) {
			return e.Sel.Name
		}
	case *ast.CallExpr:
		if s, ok := e.Fun.(*ast.SelectorExpr); ok && len(e.Args) == 0 && slices.Contains(shownMethods, s.Sel.Name) {
			return s.Sel.Name + "()"
		}
	}
	return ""
}
