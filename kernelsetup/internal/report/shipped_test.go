package report

import (
	"bytes"
	"context"
	"html"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/batch"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/nbformat"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/repl"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/worker"
	"github.com/bonnetbook/bonnetbook/pkg/scene/live"
)

// Of what the shipped notebooks show, nothing is taken for harmful: tables,
// pictures, colours and what stands for controls come into the page as they
// are.
func TestShippedNotebooksLoseNothing(t *testing.T) {
	notebooks, err := filepath.Abs("../../../notebooks")
	if err != nil {
		t.Fatal(err)
	}
	paths, _ := filepath.Glob(filepath.Join(notebooks, "[0-9][0-9]_*.ipynb"))
	if len(paths) < 12 {
		t.Fatalf("%d notebooks", len(paths))
	}
	t.Chdir(notebooks)
	seen := map[string]int{}
	for _, path := range paths {
		if strings.HasSuffix(path, ".executed.ipynb") {
			continue
		}
		name := filepath.Base(path)
		n, err := nbformat.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		ev, err := repl.New(notebooks)
		if err != nil {
			t.Fatal(err)
		}
		if err := batch.Run(context.Background(), n, worker.Here(ev), batch.Options{}); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		for i, c := range n.Cells {
			if c.Kind() == nbformat.Markdown {
				var b bytes.Buffer
				if err := convertMarkdown(&b, c.Source()); err != nil {
					t.Fatal(err)
				}
				compare(t, name, i, inlinePictures(b.String(), c, notebooks), seen)
			}
			for _, o := range c.Outputs() {
				if shown, ok := textOf(o.Data["text/html"]); ok {
					// The page brings the script of charts itself.
					compare(t, name, i, strings.ReplaceAll(shown, "<script>"+live.Script+"</script>", ""), seen)
				}
				if o.Data["image/png"] != nil {
					seen["picture"]++
				}
			}
		}
		var page strings.Builder
		if err := Write(&page, n, Options{Dir: notebooks}); err != nil {
			t.Fatal(err)
		}
		if h := harm(page.String()); h != "" {
			t.Errorf("%s: %s", name, h)
		}
		pictures := strings.Count(page.String(), `<img src="data:image/png;base64,`) + strings.Count(page.String(), `<div class="bb-wide"><svg `)
		want := 0
		for _, c := range n.Cells {
			for _, o := range c.Outputs() {
				if o.Data["image/png"] != nil {
					want++
				}
			}
		}
		if pictures < want {
			t.Errorf("%s: %d pictures in the page of %d", name, pictures, want)
		}
	}
	// What would not be lost if there were none.
	for _, what := range []string{"table", "td", "style", "picture", "strong", "code"} {
		if seen[what] == 0 {
			t.Errorf("the notebooks show no %s: %v", what, seen)
		}
	}
	t.Log(seen)
}

// compare fails where the page's form of some HTML lacks an element, an
// attribute, a style or a word of it.
func compare(t *testing.T, name string, cell int, shown string, seen map[string]int) {
	t.Helper()
	before, after := pieces(shown), pieces(safe(shown))
	for _, p := range before {
		seen[strings.Fields(p + " ")[0]]++
	}
	for i, p := range before {
		if i >= len(after) || after[i] != p {
			got := "the end"
			if i < len(after) {
				got = after[i]
			}
			t.Errorf("%s, cell %d: %q became %q", name, cell+1, p, got)
			return
		}
	}
}

var (
	tagOrText     = regexp.MustCompile(`<(/?[a-zA-Z0-9]+)((?:[^>"']|"[^"]*"|'[^']*')*)>|[^<]+`)
	attributeText = regexp.MustCompile(`([-a-zA-Z]+)(?:\s*=\s*(?:"([^"]*)"|'([^']*)'|([^\s"'>/]+)))?`)
)

// pieces lists the tags, attributes, styles and texts of HTML, without what
// means nothing: the order of attributes, spaces in a style.
func pieces(text string) (all []string) {
	for _, m := range tagOrText.FindAllStringSubmatch(text, -1) {
		if m[1] == "" {
			if s := strings.Join(strings.Fields(html.UnescapeString(m[0])), " "); s != "" {
				all = append(all, "text "+s)
			}
			continue
		}
		all = append(all, strings.ToLower(m[1]))
		var attributes []string
		for _, a := range attributeText.FindAllStringSubmatch(m[2], -1) {
			value := html.UnescapeString(a[2] + a[3] + a[4])
			switch a[1] {
			case "style":
				for s := range strings.SplitSeq(value, ";") {
					if property, v, ok := strings.Cut(s, ":"); ok {
						attributes = append(attributes, "style "+strings.TrimSpace(property)+" "+strings.Join(strings.Fields(strings.ReplaceAll(v, ",", ", ")), " "))
					}
				}
			case "rel": // added to links that lead away
			default:
				attributes = append(attributes, "attribute "+strings.ToLower(a[1])+" "+value)
			}
		}
		slices.Sort(attributes)
		all = append(all, attributes...)
	}
	return all
}
