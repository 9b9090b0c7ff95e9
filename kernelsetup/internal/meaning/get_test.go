package meaning

import (
	"go/parser"
	"go/token"
	"reflect"
	"testing"
)

func TestGets(t *testing.T) {
	for _, c := range []struct {
		cell, rest string
		want       []Get
	}{
		{"go get example.com/a", "// go get example.com/a", []Get{{1, []string{"example.com/a"}}}},
		{"// fetch\n\n go get -u example.com/a@v1.2.0  example.com/b // two\nimport \"example.com/a\"\n", "// fetch\n\n//  go get -u example.com/a@v1.2.0  example.com/b // two\nimport \"example.com/a\"\n",
			[]Get{{3, []string{"-u", "example.com/a@v1.2.0", "example.com/b"}}}},
		{"go get example.com/a\r\ngo get ./...\r\nx", "// go get example.com/a\r\n// go get ./...\r\nx", []Get{{1, []string{"example.com/a"}}, {2, []string{"./..."}}}},
		{"x := 1\ngo get example.com/a", "", nil},
		{"s := `\ngo get example.com/a\n`", "", nil},
		{"go get(1)", "", nil},
		{"go get (1)", "", nil},
		{"go get.it(1)", "", nil},
		{"go get", "", nil},
	} {
		rest := c.rest
		if rest == "" {
			rest = c.cell
		}
		if got, r := Gets(c.cell); !reflect.DeepEqual(got, c.want) || r != rest {
			t.Errorf("%q: %v, %q", c.cell, got, r)
		}
		// What is taken for a line of this kind is no Go, so that nothing that
		// meant something before means something else now.
		if _, err := parser.ParseFile(token.NewFileSet(), "", "package p; func _() {"+c.cell+"\n}", 0); c.want != nil && err == nil {
			t.Errorf("%q is Go", c.cell)
		}
	}
}
