package report

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/nbformat"
)

// A relative link leads from the page to the file to which it leads from the
// notebook; one that leads nowhere is none.
func TestLinksLeadSomewhere(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"docs/words.md", "books/a b.txt"} {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, nil, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	cell := nbformat.NewCell(nbformat.Markdown, "[w](../docs/words.md#top) [f](<a b.txt>) [gone](../docs/gone.md) [p](next.html) [web](https://example.org/docs/words.md) [here](#x) [root](/tmp/x)")
	same := []string{`href="next.html"`, `href="https://example.org/docs/words.md"`, `href="#x"`, `href="/tmp/x"`, `<a title="not in this page: ../docs/gone.md"`}
	books := filepath.Join(dir, "books")
	for name, c := range map[string]struct {
		opt  Options
		want []string
	}{
		"beside":          {Options{Dir: books}, []string{`href="../docs/words.md#top"`, `href="a%20b.txt"`}},
		"in a folder":     {Options{Dir: books, Folder: filepath.Join(dir, "build", "report")}, []string{`href="../../docs/words.md#top"`, `href="../../books/a%20b.txt"`}},
		"of no notebook":  {Options{}, []string{`<a title="not in this page: ../docs/words.md"`, `<a title="not in this page: a b.txt"`}},
		"in a far folder": {Options{Dir: books, Folder: "far"}, []string{`/docs/words.md#top"`}},
	} {
		p := page1(t, c.opt, cell)
		contains(t, p, append(same, c.want...)...)
		if n := strings.Count(p, ">w</a>"); n != 1 {
			t.Errorf("%s: the words stand %d times", name, n)
		}
	}
}
