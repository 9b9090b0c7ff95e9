package report

import (
	"bytes"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/nbformat"
)

func TestQuestion(t *testing.T) {
	for _, c := range []struct {
		cells []string
		want  string
	}{
		{[]string{"# Title\n\n**What is *it* & `why`?**\n\nMore."}, "What is it & why?"},
		{[]string{"# Title\n\nTwo\nlines [linked](https://example.org) &amp; <b>bold</b>.\n"}, "Two lines linked & bold."},
		{[]string{"before", "# Title", "later"}, ""},
		{[]string{"No heading."}, ""},
		{[]string{"- a\n- b\n\n## Below\n\n- list\n\nText."}, "Text."},
		{nil, ""},
	} {
		n := nbformat.New()
		for _, s := range c.cells {
			n.Cells = append(n.Cells, nbformat.NewCell(nbformat.Markdown, s))
		}
		if got := Question(n); got != c.want {
			t.Errorf("%q: question %q, want %q", c.cells, got, c.want)
		}
	}
}

func TestIndex(t *testing.T) {
	var b bytes.Buffer
	err := WriteIndex(&b, []Entry{
		{File: "a b?.html", Title: "A <drive>", Question: "Is 1 < 2?"},
		{File: "c:d.html", Title: "Colon", Trouble: "cell 3: <boom>"},
		{Title: "Gone", Trouble: "no such file"},
	})
	if err != nil {
		t.Fatal(err)
	}
	contains(t, b.String(), `<li><a href="a%20b%3F.html">A &lt;drive&gt;</a><br>Is 1 &lt; 2?</li>`,
		`<a href="./c:d.html">Colon</a>`, "cell 3: &lt;boom&gt;", "<li>Gone<br>")
	if !WrittenHere(b.Bytes()) {
		t.Error("the index is not known as our own")
	}
}

func TestWrittenHere(t *testing.T) {
	own := page1(t, Options{}, code(generator))
	if !WrittenHere([]byte(own)) {
		t.Error("a page is not known as our own")
	}
	for _, foreign := range []string{
		"", "<html></html>", strings.ReplaceAll(own, generator, ""),
		// A page by another hand that quotes one of ours.
		"<!DOCTYPE html>" + strings.Repeat(" ", 1024) + generator,
	} {
		if WrittenHere([]byte(foreign)) {
			t.Errorf("taken for our own: %.60q", foreign)
		}
	}
}
