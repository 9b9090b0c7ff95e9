package report

import (
	"net/url"
	"regexp"
	"strings"

	"github.com/microcosm-cc/bluemonday"
)

// allowed is what HTML from outputs and from Markdown may hold: text, tables,
// links that a person clicks, pictures that lie in the page, still drawings.
var allowed = newPolicy()

// safe drops from HTML all that could act, fetch, lead away or cover the page
// by itself. What a page could not show is dropped with its content.
func safe(html string) string { return allowed.Sanitize(html) }

const (
	textElements = "abbr b bdi blockquote br caption center cite code col colgroup dd del details dfn div dl dt em " +
		"figcaption figure h1 h2 h3 h4 h5 h6 hr i ins kbd li mark meter ol p pre progress q rp rt ruby s samp section small " +
		"span strong sub summary sup table tbody td tfoot th thead time tr tt u ul var wbr"
	drawingElements   = "svg g path rect circle ellipse line polyline polygon text tspan defs clippath lineargradient radialgradient stop"
	drawingAttributes = "d x y x1 x2 y1 y2 cx cy r rx ry dx dy fx fy width height viewbox preserveaspectratio points pathlength transform " +
		"fill fill-opacity fill-rule stroke stroke-width stroke-opacity stroke-dasharray stroke-dashoffset stroke-linecap " +
		"stroke-linejoin stroke-miterlimit opacity clip-path clip-rule font-family font-size font-weight font-style " +
		"text-anchor dominant-baseline alignment-baseline letter-spacing offset stop-color stop-opacity gradientunits " +
		"gradienttransform clippathunits spreadmethod version textlength lengthadjust vector-effect"
	styles = "align-items background background-color border border-bottom border-collapse border-color border-left " +
		"border-radius border-right border-spacing border-style border-top border-width color column-gap display fill flex " +
		"flex-basis flex-direction flex-grow flex-shrink flex-wrap float clear font font-family font-size font-style " +
		"font-variant font-weight gap grid-template-columns height justify-content line-height list-style-type margin " +
		"margin-bottom margin-left margin-right margin-top max-height max-width min-height min-width opacity overflow " +
		"overflow-wrap overflow-x overflow-y padding padding-bottom padding-left padding-right padding-top row-gap stroke " +
		"stroke-width text-align text-decoration text-indent vertical-align white-space width word-break word-wrap"
)

var (
	word = regexp.MustCompile(`^[-_a-zA-Z0-9:., ]*$`)
	// A number below zero could move a box over others.
	styleValue   = regexp.MustCompile(`^([a-zA-Z0-9#%.,()/'" ]|[a-zA-Z]-[a-zA-Z])*$`)
	styleFetches = regexp.MustCompile(`(?i)url|image|expression|attr|var`)
	drawingValue = regexp.MustCompile(`^(url\(#[-_a-zA-Z0-9]+\)|[-+a-zA-Z0-9#%.,:' \t\r\n]*|[ a-zA-Z]*\([-+a-zA-Z0-9%.,() \t\r\n]*)$`)
	picture      = regexp.MustCompile(`^(data:image/(png|jpeg|gif|webp|svg\+xml);base64,[A-Za-z0-9+/=]*)?$`)
	base64Text   = regexp.MustCompile(`^[A-Za-z0-9+/=]*$`)
	link         = regexp.MustCompile(`(?i)^(https?://|mailto:|#|[^:]*$)`)
)

func newPolicy() *bluemonday.Policy {
	p := bluemonday.NewPolicy()
	p.AllowElements(strings.Fields(textElements)...)
	p.AllowAttrs("class", "id", "role", "scope", "headers", "align", "valign", "dir", "lang").Matching(word).Globally()
	p.AllowAttrs("title").Globally()
	p.AllowAttrs("aria-label", "aria-hidden", "aria-describedby").Globally()
	p.AllowAttrs("colspan", "rowspan", "span", "start", "value", "max", "min", "low", "high", "optimum", "border", "width", "height").
		Matching(regexp.MustCompile(`^[0-9.]+%?$`)).OnElements(strings.Fields(textElements + " img")...)
	p.AllowAttrs("open").OnElements("details")
	p.AllowAttrs("datetime").Matching(word).OnElements("time")
	// The boxes of task lists.
	p.AllowAttrs("type").Matching(regexp.MustCompile(`^checkbox$`)).OnElements("input")
	p.AllowAttrs("checked", "disabled").OnElements("input")

	p.AllowAttrs("href").Matching(link).OnElements("a")
	p.AllowAttrs("src").Matching(picture).OnElements("img")
	p.AllowAttrs("alt").OnElements("img")
	p.RequireParseableURLs(true)
	p.AllowRelativeURLs(true)
	p.AllowURLSchemes("http", "https", "mailto")
	// That it is a picture in an img is seen to above.
	p.AllowURLSchemeWithCustomPolicy("data", func(*url.URL) bool { return true })

	p.AllowElements(strings.Fields(drawingElements)...)
	p.AllowAttrs(strings.Fields(drawingAttributes)...).Matching(drawingValue).OnElements(strings.Fields(drawingElements)...)
	p.AllowNoAttrs().OnElements(strings.Fields(drawingElements)...)

	// What the script of charts reads: numbers and texts.
	p.AllowAttrs(strings.Fields("data-plot data-group data-x data-y data-axis data-unit data-second data-below data-scale data-categories data-name data-at")...).
		OnElements("rect", "path", "g", "svg")
	p.AllowAttrs("data-narrow").Matching(base64Text).OnElements("img")

	p.AllowStyles(strings.Fields(styles)...).MatchingHandler(func(value string) bool {
		return styleValue.MatchString(value) && !styleFetches.MatchString(value)
	}).Globally()
	p.SkipElementsContent("template", "textarea", "select", "math", "foreignobject", "xmp", "plaintext", "animate", "set", "audio", "video", "canvas", "applet", "desc", "metadata")
	return p
}
