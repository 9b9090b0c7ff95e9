package report

import (
	"errors"
	"html"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
)

var linkTarget = regexp.MustCompile(`(<a\b[^>]*?\b)href="([^"]*)"`)

// turnLinks makes relative links lead from the page to where they lead from the
// notebook. Of one that leads to no file there the words stay, and what it named.
// A name of a page is left as it is: it may be one that is still to be written.
func turnLinks(page string, opt Options) string {
	return replaceSubmatches(linkTarget, page, func(m []string) string {
		u, err := url.Parse(html.UnescapeString(m[2]))
		if err != nil || u.Path == "" || u.IsAbs() || u.Host != "" || strings.HasPrefix(u.Path, "/") {
			return m[0]
		}
		path, there := opt.fromPage(u.Path)
		switch {
		case there:
			turned := url.URL{Path: path, RawQuery: u.RawQuery, Fragment: u.Fragment}
			return m[1] + `href="` + html.EscapeString(turned.String()) + `"`
		case filepath.Ext(u.Path) == ".html":
			return m[0]
		}
		return m[1] + `title="` + html.EscapeString("not in this page: "+u.Path) + `"`
	})
}

// fromPage returns the path from the page's folder to a file that is named from
// the notebook's.
func (o Options) fromPage(name string) (path string, there bool) {
	if o.Dir == "" {
		return "", false
	}
	folder := o.Folder
	if folder == "" {
		folder = o.Dir
	}
	from, err := filepath.Abs(folder)
	to, err2 := filepath.Abs(filepath.Join(o.Dir, filepath.FromSlash(name)))
	path, err3 := filepath.Rel(from, to)
	_, err4 := os.Stat(to)
	return filepath.ToSlash(path), errors.Join(err, err2, err3, err4) == nil
}
