// Package tracks reads tracks in KML (OGC 12-007r2, with the gx:Track element
// of its extension) and in the training-centre XML of watches (TCX).
package tracks

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"slices"
	"strings"

	"golang.org/x/net/html/charset"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/delimited"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/format"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Limits on a file.
const (
	maxDepth  = 64
	maxText   = 1024
	maxPoints = 5_000_000
)

// within reports whether the head of a file is XML with the element.
func within(src *source.Source, element string) bool {
	head := src.Beginning(16 << 10)
	return bytes.HasPrefix(head, []byte("<")) && (bytes.Contains(head, []byte("<"+element)) || bytes.Contains(head, []byte(":"+element+" ")) || bytes.Contains(head, []byte(":"+element+">"))) // with a prefix
}

// point is a track point: its cells and its line in the file.
type point struct {
	time  string
	cells map[string]string
	line  int
}

// collector takes elements as they end, by their path within the file, and
// collects points.
type collector interface {
	start(name string, attributes []xml.Attr)
	end(path []string, name, text string, line int)
	all() []point
}

// points are those collected so far.
type points []point

func (p *points) all() []point { return *p }

// walk goes through the XML of a file. It returns a note where the file is cut
// or damaged after some points.
func walk(src *source.Source, c collector) (cut string, line int, err error) {
	src.UseMark()
	d := xml.NewDecoder(src.Reader(0))
	d.CharsetReader = func(label string, in io.Reader) (io.Reader, error) {
		if strings.HasPrefix(strings.ToLower(label), "utf-") {
			return in, nil
		}
		return charset.NewReaderLabel(label, in)
	}
	fail := func(line int, found, do string, err error) (string, int, error) {
		return "", 0, &account.FileError{File: src.Path, Line: line, Found: found, Do: do, Err: err}
	}
	var path []string
	var text strings.Builder
	for {
		token, err := d.Token()
		if err == io.EOF {
			return "", 0, nil
		}
		line, _ := d.InputPos()
		if err != nil {
			if len(c.all()) == 0 {
				return fail(line, "is not well-formed XML: "+err.Error(), "export the track again", account.ErrNotText)
			}
			return err.Error(), line, nil
		}
		switch x := token.(type) {
		case xml.Directive:
			if bytes.HasPrefix(bytes.ToUpper(x), []byte("DOCTYPE")) {
				return fail(line, "declares a document type (DOCTYPE)", "export the track again; files with entities are refused", account.ErrNotText)
			}
		case xml.StartElement:
			if len(path) == maxDepth {
				return fail(line, fmt.Sprintf("nests elements more than %d deep", maxDepth), "export the track again", account.ErrLimit)
			}
			name := strings.ToLower(x.Name.Local)
			path = append(path, name)
			text.Reset()
			c.start(name, x.Attr)
		case xml.CharData:
			if text.Len() < maxText {
				text.Write(x[:min(len(x), maxText)])
			}
		case xml.EndElement:
			if len(path) == 0 {
				continue
			}
			name := path[len(path)-1]
			path = path[:len(path)-1]
			c.end(path, name, strings.TrimSpace(text.String()), line)
			text.Reset()
			if len(c.all()) > maxPoints {
				return fail(line, fmt.Sprintf("has more than %d points", maxPoints), "cut the track", account.ErrLimit)
			}
		}
	}
}

// read makes a table of the points that have a time.
func read(src *source.Source, how format.Request, name layout.Format, c collector, order []string) (*table.Table, error) {
	cut, at, err := walk(src, c)
	if err != nil {
		return nil, err
	}
	points := c.all()
	if len(points) == 0 {
		return nil, src.Fail("has no track point", "export the recorded track, not a route or places", account.ErrNoData)
	}
	names := []string{"time"}
	for _, n := range order {
		if slices.ContainsFunc(points, func(p point) bool { return p.cells[n] != "" }) {
			names = append(names, n)
		}
	}
	w := delimited.Rewritten{Account: account.Account{Unit: "track points"}}
	w.Header(names)
	rows := 0
	for _, p := range points {
		w.Account.Lines++
		if p.time == "" {
			w.Account.Rejects = append(w.Account.Rejects, account.Reject{Line: p.line, Reason: "track point without a time", Text: fmt.Sprint(p.cells)})
			continue
		}
		row := []string{cell.Plain(p.time)}
		for _, n := range names[1:] {
			v := cell.Plain(p.cells[n])
			if v == "" {
				v = "-"
			}
			row = append(row, v)
		}
		if err := w.Row(src, row, p.line); err != nil {
			return nil, err
		}
		rows++
	}
	if rows == 0 {
		return nil, src.Fail(fmt.Sprintf("has %d track points, none of them with a time", len(points)), "export the track with times; a track drawn on a map has none", account.ErrNoTime)
	}
	t, err := w.Table(src, how, name)
	if err != nil {
		return nil, err
	}
	if cut != "" {
		t.Warnings.Add(estimate.LostReadings, t.Name(), fmt.Sprintf("line %d: the file is damaged or cut from here on (%s); the points before are kept", at, cut))
		t.Account.Changes = append(t.Account.Changes, account.Change{Line: at, What: "file cut or damaged from here on: " + cut})
	}
	return t, nil
}
