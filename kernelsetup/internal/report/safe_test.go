package report

import (
	"html"
	"image"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/nbformat"
	"github.com/bonnetbook/bonnetbook/pkg/notebook"
)

// Ways into a page of the kinds that OWASP's cheat sheet "Cross Site Scripting
// Prevention: Filter Evasion" lists, and ways out of one.
var attacks = []string{
	`<me<meta>ta http-equiv="refresh" content="0;url=https://example.org">`,
	`<meta http-equiv=refresh content=0;url=https://example.org>`,
	`<scr<script>ipt>alert(1)</scr</script>ipt>`,
	`<script>alert(1)`,
	`<SCRIPT/XSS SRC="https://example.org/x.js"></SCRIPT>`,
	`<<SCRIPT>alert(1);//\<</SCRIPT>`,
	`<script src=https://example.org/x.js?<b>`,
	`<img src=x onerror=alert(1)>`,
	`<img """><script>alert(1)</script>">`,
	"<img src=`javascript:alert(1)`>",
	`<img src="jav&#x09;ascript:alert(1)">`,
	`<img src="https://example.org/seen.png">`,
	`<img src="//example.org/seen.png">`,
	`<img srcset="https://example.org/seen.png 1x">`,
	`<img src="data:text/html;base64,PHNjcmlwdD4=">`,
	`<img src="data:image/png;base64,AAAA&quot; onerror=&quot;alert(1)">`,
	`<a href="javascript:alert(1)">x</a>`,
	`<a href=" &#14; javascript:alert(1)">x</a>`,
	`<a href="JaVaScRiPt&colon;alert(1)">x</a>`,
	`<a href="data:text/html,<script>alert(1)</script>">x</a>`,
	`<a href="vbscript:x">x</a>`,
	`<a href="#" ping="https://example.org" onmouseover=alert(1)>x</a>`,
	`<iframe src="https://example.org"></iframe><iframe srcdoc="<script>alert(1)</script>">`,
	`<object data="https://example.org"></object><embed src="https://example.org">`,
	`<link rel=stylesheet href="https://example.org/s.css"><base href="https://example.org">`,
	`<style>@import "https://example.org/s.css"; body{display:none}</style>`,
	`<form action="https://example.org"><input name=p type=password><input type=image src=https://example.org/x></form>`,
	`<button formaction="javascript:alert(1)">x</button>`,
	`<svg onload=alert(1)><script>alert(1)</script></svg>`,
	`<svg><a xlink:href="javascript:alert(1)"><text>x</text></a></svg>`,
	`<svg><animate attributeName=href values="javascript:alert(1)"/></svg>`,
	`<svg><use href="https://example.org/x.svg#a"/><image href="https://example.org/x.png"/></svg>`,
	`<svg><foreignObject><iframe src="https://example.org"></iframe></foreignObject></svg>`,
	`<svg><style><img src=x onerror=alert(1)></style></svg>`,
	`<svg><title><img src=x onerror=alert(1)></title></svg>`,
	`<svg><rect fill="url(https://example.org/x.svg#a)"/></svg>`,
	`<math><mtext><table><mglyph><style><img src=x onerror=alert(1)>`,
	`<math href="javascript:alert(1)">x</math>`,
	`<noscript><p title="</noscript><img src=x onerror=alert(1)>">`,
	`<textarea><img title="</textarea><img src=x onerror=alert(1)>"></textarea>`,
	`<!--><img src=x onerror=alert(1)>-->`,
	`<!-- --!><script>alert(1)</script>`,
	`<![CDATA[<script>alert(1)</script>]]>`,
	`<?xml-stylesheet href="javascript:alert(1)"?>`,
	`<div style="position:fixed;top:0;left:0;width:100%;height:100%">cover</div>`,
	`<div style="margin-top:-2000px">cover</div>`,
	`<div style="background:url(https://example.org/x.png)">x</div>`,
	`<div style="background:u\72l(https://example.org/x.png)">x</div>`,
	`<div style="width:expression(alert(1))">x</div>`,
	`<div style="color:red;}</style><script>alert(1)</script>">x</div>`,
	`<table background="https://example.org/x.png"><td background="javascript:alert(1)">x</table>`,
	`<body onload=alert(1)><html manifest="https://example.org">`,
	`<video src="https://example.org/x" autoplay><source src="https://example.org/x" onerror=alert(1)></video>`,
	`<details open ontoggle=alert(1)>x</details>`,
	`<portal src="https://example.org"></portal><dialog open>x</dialog>`,
	`</div></section></main></body><script>alert(1)</script>`,
	"<img\x00 src=x onerror=alert(1)>",
	`<p title="` + "`><img src=x onerror=alert(1)>" + `">x</p>`,
	`<xmp><script>alert(1)</script></xmp><plaintext><b>`,
}

var (
	mainPart  = regexp.MustCompile(`(?s)<main>\n(.*)</main>`)
	anyTag    = regexp.MustCompile(`<(/?)([a-z0-9]+)((?: [-a-z0-9]+="[^"<>]*")*) ?/?>`)
	attribute = regexp.MustCompile(` ([-a-z0-9]+)="([^"]*)"`)
	fine      = strings.Fields(textElements + " " + drawingElements + " a img input")
	fineNames = regexp.MustCompile(`^(class|id|role|title|alt|aria-[a-z]+|colspan|rowspan|open|type|checked|disabled|style|href|src|start|max|value|width|height|align|fill|x|y|d|viewbox|stroke|points|data-[a-z]+|font-family|font-size|textlength|lengthadjust|text-anchor|transform|vector-effect|paint-order|fill-opacity|stroke-[a-z]+|cx|cy|r)$`)
	fineLink  = regexp.MustCompile(`^(https?://|mailto:|#|[^:]*$)`)
	fineImage = regexp.MustCompile(`^(data:image/(png|jpeg|gif|svg\+xml);base64,[A-Za-z0-9+/=]*)?$`)
)

// harm tells what is wrong with the markup of a page's main part: a tag that
// is not in plain form, an element or attribute that no page needs, a fetch.
func harm(page string) string {
	body := mainPart.FindStringSubmatch(page)[1]
	if rest := anyTag.ReplaceAllString(body, ""); strings.ContainsAny(rest, "<>") {
		at := strings.IndexAny(rest, "<>")
		return "odd markup at " + rest[at:min(at+60, len(rest))]
	}
	for _, m := range anyTag.FindAllStringSubmatch(body, -1) {
		if !slices.Contains(fine, m[2]) {
			return "element " + m[0]
		}
		for _, a := range attribute.FindAllStringSubmatch(m[3], -1) {
			name, value := a[1], html.UnescapeString(a[2])
			switch {
			case !fineNames.MatchString(name),
				name == "href" && (m[2] != "a" || !fineLink.MatchString(value)),
				name == "src" && (m[2] != "img" || !fineImage.MatchString(value)),
				name == "style" && regexp.MustCompile(`position|url|\\|:\s*-|expression`).MatchString(value),
				name == "fill" && strings.Contains(value, "//"):
				return "attribute " + a[0] + " of " + m[2]
			}
		}
	}
	return ""
}

func TestAttacks(t *testing.T) {
	data := func(mime, text string) *nbformat.Cell {
		return code("1", nbformat.Output{Kind: nbformat.Display, Data: map[string]any{mime: text, "text/plain": text}})
	}
	for _, a := range attacks {
		for where, cell := range map[string]*nbformat.Cell{
			"HTML":           data("text/html", "<b>kept</b>"+a),
			"HTML in a word": data("text/html", "<b>kept"+a+"</b>"),
			"Markdown":       data("text/markdown", "**kept**\n\n"+a),
			"a Markdown cell": nbformat.NewCell(nbformat.Markdown, "**kept** "+a+
				"\n\n"+a+"\n\n[x](javascript:alert(1)) ![y](x\"onerror=alert(1)) $\\text{"+a+"}$"),
			"a picture": data("image/png", `AAAA">`+a),
			"a drawing": data("image/svg+xml", a),
			"plain":     data("text/plain", a),
			"a stream":  code(a, nbformat.Output{Kind: nbformat.Stream, Name: `x">` + a, Text: a}),
			"an error":  code("1", nbformat.Output{Kind: nbformat.Failure, ErrorName: a, ErrorValue: a}),
		} {
			page := page1(t, Options{}, cell)
			if h := harm(page); h != "" {
				t.Errorf("%s in %s: %s\n%s", a, where, h, mainPart.FindString(page))
			}
			if strings.Contains(where, "HTML") && !strings.Contains(page, "<b>kept") {
				t.Errorf("%s in %s: what is no harm is gone", a, where)
			}
		}
	}
}

// squash leaves out the spaces that CSS does not need.
func squash(s string) string {
	s = strings.NewReplacer(": ", ":", "; ", ";", "&#39;", "'", "&#34;", `"`).Replace(s)
	return s
}

// What values of all kinds show as HTML stays as it is.
func TestWhatIsShownStays(t *testing.T) {
	type row struct {
		Name string
		Rise float64
	}
	picture := image.NewGray(image.Rect(0, 0, 2, 3))
	for name, v := range map[string]any{
		"a table":       []row{{"<i>", 1.5}, {"b", -2}},
		"a map":         map[string]int{"a": 1},
		"side by side":  notebook.SideBySide(picture, "text", []row{{"a", 1}}),
		"a stack":       notebook.Stack(notebook.SVG("<svg xmlns='http://www.w3.org/2000/svg'><title>t</title></svg>"), 3),
		"HTML":          notebook.HTML(`<p>x<br><a href="https://example.org">y</a> <a href="#top">z</a></p>`),
		"details":       notebook.HTML(`<details open=""><summary>s</summary><progress max="4" value="3"></progress></details>`),
		"a control":     notebook.HTML(`<div>depth (m): 0.3</div>`),
		"progress":      notebook.HTML(`<div>drives: <progress max="6" value="2" style="width:16em;vertical-align:middle"></progress> 2 of 6, about 3 s left</div>`),
		"a drawing":     notebook.HTML(`<svg viewbox="0 0 10 10" width="10"><path d="M0,0 L1 -2e-3z" fill="none" stroke="#123"/><g transform="translate(1,2)"><text x="1" y="-2">a</text></g></svg>`),
		"a wide layout": notebook.HTML(`<table border="1"><tr><td colspan="2" style="text-align:right;vertical-align:top">1</td></tr></table>`),
	} {
		shown := notebook.Format(v).HTML()
		if shown == "" && name != "a map" {
			t.Errorf("%s has no HTML", name)
		}
		if got := safe(shown); squash(got) != squash(shown) {
			t.Errorf("%s: \n%s\nbecame\n%s", name, shown, got)
		}
	}
}

// Markdown keeps what it makes, and pictures of the folder and of cells come
// in before the list is asked.
func TestMarkdownStays(t *testing.T) {
	page := page1(t, Options{}, nbformat.NewCell(nbformat.Markdown,
		"# A *b*\n\n- [x] done\n- [ ] open\n\n1. one\n\n| a | b |\n|:-:|--:|\n| 1 | 2 |\n\n~~no~~ `c` [l](https://example.org \"t\") x[^1] $x_1^2$\n\n[^1]: note\n\n```go\nx := 1 < 2\n```\n\n<details><summary>s</summary>t</details>"))
	contains(t, page, `<h1 id="a-b">A <em>b</em></h1>`, `<input checked="" disabled="" type="checkbox"`, "<ol>",
		`text-align: right`, "<del>no</del>", "<code>c</code>", `<a href="https://example.org" title="t"`, `href="#fn:1"`, `id="fn:1"`,
		`<span class="formula">`, "<sub>1</sub>", "<code class=\"language-go\">x := 1 &lt; 2", "<details><summary>s</summary>t</details>")
	if h := harm(page); h != "" {
		t.Error(h)
	}
}
