package jsonlines

import (
	"fmt"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
)

// featuresOf returns the features of a GeoJSON document (RFC 7946, 3.2 and 3.3),
// or of a sequence of them; nil for any other document.
func featuresOf(value any) []members {
	switch v := value.(type) {
	case members:
		switch kind := v.of("type"); kind {
		case "Feature":
			return []members{v}
		case "LineString", "MultiLineString":
			return []members{{{"type", "Feature"}, {"geometry", v}}}
		case "FeatureCollection":
			list, _ := v.of("features").([]any)
			all := []members{}
			for _, f := range list {
				if m, ok := f.(members); ok {
					all = append(all, m)
				}
			}
			return all
		}
	case []any:
		var all []members
		for _, f := range v {
			m, ok := f.(members)
			if !ok || m.of("type") != "Feature" {
				return nil
			}
			all = append(all, m)
		}
		return all
	}
	return nil
}

// of returns a member's value, nil where there is none.
func (m members) of(name string) any {
	if i := slices.IndexFunc(m, func(e entry) bool { return e.name == name }); i >= 0 {
		return m[i].value
	}
	return nil
}

// Names of columns as formats of tracks prescribe them (RFC 7946, 3.1.1: decimal
// degrees and metres).
var positionNames = []string{"longitude (°)", "latitude (°)", "altitude (m)"}

// points reads features with times: points with a time among their properties,
// and lines with a list of times as long as the line. Features without times are
// told as rejected. It fails where none has any.
func points(features []members) (*found, error) {
	f := &found{}
	untimed := 0
	for n, feature := range features {
		geometry, _ := feature.of("geometry").(members)
		properties, _ := feature.of("properties").(members)
		var rows [][]member
		var err error
		switch geometry.of("type") {
		case "Point":
			rows, err = f.ofPoint(geometry.of("coordinates"), properties)
		case "LineString", "MultiLineString":
			rows, err = ofLine(geometry.of("coordinates"), properties)
		default:
			err = fmt.Errorf("is no point and no line")
		}
		if err != nil {
			untimed++
			f.rejects = append(f.rejects, account.Reject{Line: n + 1, Reason: err.Error()})
		}
		for _, r := range rows {
			f.add(r, n+1)
		}
	}
	if len(f.rows) == 0 && untimed > 0 {
		return nil, fmt.Errorf("of %d features, none of which is a track with times: the first %s", untimed, f.rejects[0].Reason)
	}
	if len(f.rows) == 0 {
		return nil, fmt.Errorf("without a point")
	}
	f.fill()
	return f, nil
}

// position returns the members of a position.
func position(v any) ([]member, bool) {
	list, ok := v.([]any)
	if !ok || len(list) < 2 {
		return nil, false
	}
	var all []member
	for i, name := range positionNames[:min(len(list), 3)] {
		all = append(all, member{name, text(list[i])})
	}
	return all, true
}

func (f *found) ofPoint(coordinates any, properties members) ([][]member, error) {
	at, ok := position(coordinates)
	var l leaves
	if err := l.take(properties, "", 1); err != nil {
		return nil, err
	}
	switch {
	case !ok:
		return nil, fmt.Errorf("has no position")
	case !slices.ContainsFunc(l.one, func(m member) bool { return isClock(m.name) }):
		return nil, fmt.Errorf("is a point without a time among its properties")
	case len(l.records) > 0:
		return nil, fmt.Errorf("holds a list of objects, %q", l.records[0].name)
	}
	if err := f.ofVectors(&l); err != nil {
		return nil, err
	}
	return [][]member{append(l.one, at...)}, nil
}

// ofLine returns a row for each point of a line: its properties of as many
// entries, one of them the times, may stand in an object of their own.
func ofLine(coordinates any, properties members) ([][]member, error) {
	var rows [][]member
	for _, c := range flat(coordinates, true) {
		at, ok := position(c)
		if !ok {
			return nil, fmt.Errorf("is a line with a point that has no position")
		}
		rows = append(rows, at)
	}
	timed := false
	var take func(all members)
	take = func(all members) {
		for _, p := range all {
			if within, ok := p.value.(members); ok {
				take(within)
				continue
			}
			list, ok := p.value.([]any)
			if !ok {
				continue
			}
			values := flat(list, false)
			if len(values) != len(rows) || len(rows) == 0 {
				continue
			}
			name := p.name
			if isClock(name) || strings.EqualFold(name, "coordtimes") {
				name, timed = "time", true
			}
			for i, v := range values {
				rows[i] = append(rows[i], member{name, text(v)})
			}
		}
	}
	take(properties)
	if !timed {
		return nil, fmt.Errorf("is a line of %d points without a list of as many times", len(rows))
	}
	return rows, nil
}

// flat puts the parts of a line in several pieces behind each other. Of
// positions the innermost lists stay.
func flat(v any, positions bool) []any {
	list, _ := v.([]any)
	var all []any
	for _, x := range list {
		inner, ok := x.([]any)
		if !ok || positions && (len(inner) == 0 || isScalar(inner[0])) {
			all = append(all, x)
			continue
		}
		all = append(all, inner...)
	}
	return all
}
