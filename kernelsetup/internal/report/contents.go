package report

import (
	"fmt"
	"html"
	"net/url"
	"regexp"
	"strings"
)

// contents are the headings of a page, as its text names them.
type contents struct {
	entries []string
	seen    map[string]int
}

// fewest is how many headings a page has that needs contents.
const fewest = 3

var (
	heading = regexp.MustCompile(`(?s)<h([1-6]) id="([^"]*)">(.*?)</h[1-6]>`)
	tag     = regexp.MustCompile(`<[^>]*>`)
)

// collect notes the headings below the title of a piece of text and returns it
// with names that no earlier piece has: two cells may have the same heading.
func (c *contents) collect(text string) string {
	return replaceSubmatches(heading, text, func(m []string) string {
		level, id, words := m[1], m[2], m[3]
		c.seen[id]++
		if n := c.seen[id]; n > 1 {
			id = fmt.Sprintf("%s-again-%d", id, n)
		}
		if level == "2" {
			u := url.URL{Fragment: html.UnescapeString(id)}
			c.entries = append(c.entries, fmt.Sprintf(`<li><a href="%s">%s</a></li>`, html.EscapeString(u.String()), tag.ReplaceAllString(words, "")))
		}
		return fmt.Sprintf(`<h%s id="%s">%s</h%s>`, level, id, words, level)
	})
}

// html returns the list of the headings, nothing where they are few.
func (c *contents) html() string {
	if len(c.entries) < fewest {
		return ""
	}
	return "<details class=\"contents\" open=\"\"><summary>In this page</summary>\n<ol>\n" + strings.Join(c.entries, "\n") + "\n</ol>\n</details>\n"
}

// way returns the links to the pages beside this one.
func (o Options) way() string {
	var links []string
	if o.Previous.File != "" {
		links = append(links, `<a rel="prev" href="`+o.Previous.address()+`">← `+html.EscapeString(o.Previous.Title)+"</a>")
	}
	if o.Index {
		links = append(links, `<a href="`+IndexName+`">All notebooks</a>`)
	}
	if o.Next.File != "" {
		links = append(links, `<a rel="next" href="`+o.Next.address()+`">`+html.EscapeString(o.Next.Title)+" →</a>")
	}
	if len(links) == 0 {
		return ""
	}
	return "<nav>" + strings.Join(links, "\n") + "</nav>\n"
}
