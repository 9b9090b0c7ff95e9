// Package jsonlines reads files with one JSON object on each line, as apps of
// phones write them: each is a row, its members are columns.
package jsonlines

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"slices"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/delimited"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/format"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Format is JSON lines.
var Format = format.Format{Name: layout.JSONLines, Lines: true, Recognise: recognise, Read: read}

// Limits on what a line may hold.
const (
	mostColumns = 256
	deepest     = 4
)

// recognise reports whether the first line that is not empty is an object.
func recognise(src *source.Source) bool {
	text, err := io.ReadAll(io.LimitReader(src.Reader(0), 16<<10))
	if err != nil {
		return false
	}
	for line := range bytes.Lines(text) {
		if line = bytes.TrimSpace(line); len(line) > 0 {
			_, err := object(line)
			return err == nil
		}
	}
	return false
}

// member is one value of an object, by its name; those of an object within are
// named "outer.inner".
type member struct{ name, value string }

// object returns the members of an object in their order. It fails where the
// line is none.
func object(line []byte) ([]member, error) {
	d := json.NewDecoder(bytes.NewReader(line))
	d.UseNumber()
	if t, err := d.Token(); err != nil || t != json.Delim('{') {
		return nil, fmt.Errorf("is no JSON object")
	}
	members, err := inside(d, "", 1)
	if err != nil {
		return nil, err
	}
	if _, err := d.Token(); err != io.EOF {
		return nil, fmt.Errorf("has something behind its JSON object")
	}
	return members, nil
}

// inside reads the members up to the closing brace.
func inside(d *json.Decoder, prefix string, depth int) ([]member, error) {
	var all []member
	for d.More() {
		key, err := d.Token()
		if err != nil {
			return nil, fmt.Errorf("is broken off: %w", err)
		}
		name := prefix + fmt.Sprint(key)
		value, err := d.Token()
		if err != nil {
			return nil, fmt.Errorf("is broken off: %w", err)
		}
		switch v := value.(type) {
		case json.Delim:
			if v != '{' || depth == deepest {
				return nil, fmt.Errorf("holds a list, or more than %d objects in each other, in %q", deepest, name)
			}
			more, err := inside(d, name+".", depth+1)
			if err != nil {
				return nil, err
			}
			all = append(all, more...)
		case nil:
			all = append(all, member{name, ""})
		default:
			all = append(all, member{name, fmt.Sprint(v)})
		}
	}
	if _, err := d.Token(); err != nil {
		return nil, fmt.Errorf("is broken off: %w", err)
	}
	return all, nil
}

func read(src *source.Source, how format.Request) (*table.Table, error) {
	names, err := columns(src)
	if err != nil {
		return nil, err
	}
	var w delimited.Rewritten
	header := make([]string, len(names))
	for i, n := range names {
		header[i] = cell.Plain(n)
	}
	w.Header(header)
	rows := 0
	for l, err := range src.Lines() {
		if err != nil {
			return nil, err
		}
		w.Account.Lines++
		line := bytes.TrimSpace(l.Text)
		if len(line) == 0 {
			w.Account.Blank++
			continue
		}
		members, err := object(line)
		if err == nil && l.Long {
			err = fmt.Errorf("is longer than %d bytes", source.MaxLine)
		}
		if err != nil {
			w.Account.Rejects = append(w.Account.Rejects, account.Reject{Line: l.Number, Reason: err.Error(), Text: cell.Excerpt(line)})
			continue
		}
		cells := make([]string, len(names))
		for _, m := range members {
			if i := slices.Index(names, m.name); i >= 0 {
				cells[i] = cell.Plain(m.value)
			}
		}
		for i := range cells {
			if cells[i] == "" {
				cells[i] = "-"
			}
		}
		if err := w.Row(src, cells, l.Number); err != nil {
			return nil, err
		}
		rows++
	}
	if rows == 0 {
		return nil, src.Fail("has no line with a JSON object of numbers and texts", "export the readings as .csv", account.ErrNoData)
	}
	return w.Table(src, how, layout.JSONLines)
}

// columns lists the members of all objects in the order in which they come up.
func columns(src *source.Source) ([]string, error) {
	var names []string
	for l, err := range src.Lines() {
		if err != nil {
			return nil, err
		}
		members, err := object(bytes.TrimSpace(l.Text))
		if err != nil {
			continue
		}
		for _, m := range members {
			if !slices.Contains(names, m.name) && len(names) < mostColumns {
				names = append(names, m.name)
			}
		}
	}
	return names, nil
}
