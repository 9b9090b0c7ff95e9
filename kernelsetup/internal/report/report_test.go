package report

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/nbformat"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

func page1(t *testing.T, opt Options, cells ...*nbformat.Cell) string {
	t.Helper()
	n := nbformat.New()
	n.Cells = cells
	var b bytes.Buffer
	if err := Write(&b, n, opt); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func code(source string, outputs ...nbformat.Output) *nbformat.Cell {
	c := nbformat.NewCell(nbformat.Code, source)
	c.SetOutputs(outputs)
	return c
}

func contains(t *testing.T, page string, want ...string) {
	t.Helper()
	for _, w := range want {
		if !strings.Contains(page, w) {
			t.Errorf("%q is not in\n%s", w, page[strings.Index(page, "<main>"):])
		}
	}
}

func TestPage(t *testing.T) {
	p := page1(t, Options{},
		nbformat.NewCell(nbformat.Markdown, "# A drive & more\n\n| a | b |\n|---|---|\n| 1 | 2 |\n"),
		code("if x < 2 { // why\n\treturn \"s\"\n}",
			nbformat.Output{Kind: nbformat.Stream, Name: "stdout", Text: "1 < 2\n\x1b[31mred\x1b[0m\nold\rnew\n"},
			nbformat.Output{Kind: nbformat.Result, Data: map[string]any{"text/plain": "2", "text/html": "<table><tr><td>x</td></tr></table>"}},
			nbformat.Output{Kind: nbformat.Display, Data: map[string]any{"text/plain": "plot", "image/png": []byte{1, 2, 3}}},
			nbformat.Output{Kind: nbformat.Failure, Traceback: []string{"panic: <boom>"}}))
	contains(t, p, "<title>A drive &amp; more</title>", "<td>1</td>",
		`<span class="k">if</span> x &lt; <span class="n">2</span> { <span class="c">// why</span>`,
		`<span class="s">&#34;s&#34;</span>`, "1 &lt; 2\n<span class=\"ansi1\">red</span>\nnew\n",
		"<table><tr><td>x</td></tr></table>", `<img src="data:image/png;base64,AQID" alt="plot">`, "panic: &lt;boom&gt;",
		"Content-Security-Policy")
	if strings.Contains(p, "<pre class=\"out\">2</pre>") {
		t.Error("the text twin is shown beside the table")
	}
}

func TestNothingLeavesThePage(t *testing.T) {
	p := page1(t, Options{},
		nbformat.NewCell(nbformat.Markdown, "![x](https://example.org/x.png) <script src='https://example.org/a.js'></script>"),
		code("1", nbformat.Output{Kind: nbformat.Display, Data: map[string]any{
			"text/html": "<b>kept</b><SCRIPT>alert(1)</SCRIPT><iframe src='https://example.org'></iframe><link rel=stylesheet href='https://example.org/s.css'>"}}))
	contains(t, p, "<b>kept</b>")
	for _, bad := range []string{"<script", "<SCRIPT", "<iframe", "<link", `src="https:`, "alert(1)"} {
		if strings.Contains(p, bad) {
			t.Errorf("%q is in the page", bad)
		}
	}
}

func TestPicturesAreInlined(t *testing.T) {
	dir := t.TempDir()
	outside := filepath.Join(filepath.Dir(dir), "outside.png")
	os.WriteFile(outside, []byte("secret"), 0o600)
	defer os.Remove(outside)
	os.WriteFile(filepath.Join(dir, "p.png"), []byte("\x89PNG\r\n\x1a\n"), 0o644)
	os.WriteFile(filepath.Join(dir, "t.txt"), []byte("text"), 0o644)
	p := page1(t, Options{Dir: dir}, nbformat.NewCell(nbformat.Markdown,
		"![a](p.png) ![b](../outside.png) ![c](t.txt) ![d](missing.png)"))
	if got := strings.Count(p, `src="data:image/png;base64,iVBORw0KGgo="`); got != 1 {
		t.Errorf("%d pictures inlined, want 1", got)
	}
	contains(t, p, "not in this page: ../outside.png", "not in this page: t.txt", "not in this page: missing.png")
}

func TestFormulasAreReadable(t *testing.T) {
	var b bytes.Buffer
	source := "Density $\\rho = \\frac{p_d}{R_d T}$ costs $5 and `$x_i$` stays.\n\n$$\\Delta T = T_{in} - T_\\mathrm{amb}$$\n"
	if err := convertMarkdown(&b, source); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		`<span class="formula">ρ = (p<sub>d</sub>)/(R<sub>d</sub> T)</span>`, "costs $5 and", "<code>$x_i$</code>",
		`ΔT = T<sub>in</sub> − T<sub><span class="upright">amb</span></sub>`,
	} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("%q is not in\n%s", want, b.String())
		}
	}
	for _, odd := range []string{`\`, `{`, `a^`, `_`, `\frac`, `}}`, `\begin{x}`, "a<b"} {
		if got := formula(odd); strings.Contains(got, "a<b") {
			t.Errorf("formula %q became %q", odd, got)
		}
	}
}

func TestHighlightKeepsTheText(t *testing.T) {
	for _, source := range []string{"", "a", "x := `raw\nstring` /* c\n */ + 'r'", "not \x00 go \" at all", "a\r\nb // c\r\n", "s := \"open", "° := 1"} {
		got := highlight(source)
		for _, tag := range []string{`<span class="k">`, `<span class="s">`, `<span class="n">`, `<span class="c">`, "</span>"} {
			got = strings.ReplaceAll(got, tag, "")
		}
		for from, to := range map[string]string{"&#34;": `"`, "&#39;": "'", "&lt;": "<", "&gt;": ">", "&amp;": "&"} {
			got = strings.ReplaceAll(got, from, to)
		}
		if got != source {
			t.Errorf("%q became %q", source, got)
		}
	}
}

func markdownOf(source string) *nbformat.Cell { return nbformat.NewCell(nbformat.Markdown, source) }

func TestContents(t *testing.T) {
	p := page1(t, Options{}, markdownOf("# Title\n\n## One `x` & two\n\n### Below"), markdownOf("## Exercise\n\n[there](#last)"), markdownOf("## Exercise"), markdownOf("## Last"))
	contains(t, p, `<li><a href="#one-x--two">One x &amp; two</a></li>`, `<h2 id="one-x--two">`,
		`<a href="#exercise">`, `<h2 id="exercise">`, `<a href="#exercise-again-2">`, `<h2 id="exercise-again-2">`, `<a href="#last">there</a>`)
	if n := strings.Count(p, "<li>"); n != 4 {
		t.Errorf("%d entries: the title and what is below a heading are none", n)
	}
	if p := page1(t, Options{}, markdownOf("# Title\n\n## One\n\n## Two")); strings.Contains(p, "In this page") {
		t.Error("contents of two headings")
	}
}

func TestWayToOtherPages(t *testing.T) {
	p := page1(t, Options{Index: true, Previous: Entry{File: "a b.html", Title: "A <b>"}, Next: Entry{File: "c.html", Title: "C"}}, markdownOf("# B"))
	if n := strings.Count(p, `<a rel="prev" href="a%20b.html">← A &lt;b&gt;</a>`); n != 2 {
		t.Errorf("%d links to the page before, want one above and one below", n)
	}
	contains(t, p, `<a href="index.html">All notebooks</a>`, `<a rel="next" href="c.html">C →</a>`)
	first := page1(t, Options{Index: true, Next: Entry{File: "c.html", Title: "C"}}, markdownOf("# A"))
	if strings.Contains(first, "prev") {
		t.Error("the first page links one before it")
	}
	if strings.Contains(page1(t, Options{}, markdownOf("# A")), "<nav") {
		t.Error("a page alone links others")
	}
}

// Without code there are no exercises and no controls either.
func TestHideCodeLeavesOutWhatIsForTheDraft(t *testing.T) {
	plain := func(text string) nbformat.Output {
		return nbformat.Output{Kind: nbformat.Display, Data: map[string]any{"text/plain": text}}
	}
	control := func(mime string) nbformat.Output {
		o := plain("hose (mm): 60 (35 to 90)")
		o.Data[mime] = map[string]any{"name": "hose"}
		return o
	}
	exercise := code("answer := 0", plain("stub"))
	check := code("Check(answer)", plain("not yet"))
	second := code("Check(another)", plain("not yet"))
	cells := []*nbformat.Cell{
		markdownOf("# Duct"), code("slider", control(notebook.MIMEControl), plain("picture")), code("old", control(notebook.MIMEWidget)),
		markdownOf("It stays.\n\n## Exercises\n\nThree of them."), markdownOf("### 1. First\n\nHow wide?"), exercise, check,
		markdownOf("### 2. Second\n\nHow long?"), code("another answer := 0"), second,
		markdownOf("## Key points"), code("last", plain("the end")),
	}
	p := page1(t, Options{HideCode: true, Checks: map[string]bool{check.ID(): true, second.ID(): true}}, cells...)
	contains(t, p, "Duct", "picture", "It stays.", "Key points", "the end")
	for _, gone := range []string{"slider", "hose", "Exercises", "Three of them", "First", "How wide?", "How long?", "answer", "stub", "not yet"} {
		if strings.Contains(p[strings.Index(p, "<main>"):], gone) {
			t.Errorf("%q is in the page", gone)
		}
	}
	contains(t, page1(t, Options{}, cells...), "slider", "hose", "How wide?", "answer", "not yet")
}
