package survey

import (
	"errors"
	"fmt"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"github.com/bonnetbook/bonnetbook/pkg/recording"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Question is what a log leaves open about its layout.
type Question struct {
	Key  string // of the layout
	Text string // the question with its readings, for a remark
}

// setting matches a setting that a layout can hold on one line.
var setting = regexp.MustCompile(`^([a-z_]+) = "([^"]+)"$`)

// questionOf makes a question of an ambiguous file; ok is false where the
// answer is no single setting.
func questionOf(file string, e *recording.AmbiguousError) (q Question, ok bool) {
	var ways []string
	for _, r := range e.Readings {
		m := setting.FindStringSubmatch(r.Setting)
		if m == nil || (q.Key != "" && m[1] != q.Key) {
			return q, false
		}
		q.Key = m[1]
		ways = append(ways, fmt.Sprintf("%q is %s", m[2], r.Meaning))
	}
	q.Text = strings.ReplaceAll(fmt.Sprintf("%s, line %d, %s: %s", file, e.Line, e.What, strings.Join(ways, "; ")), "\n", " ")
	return q, q.Key != ""
}

// Look reads a file of the folder. Where the file leaves its layout open, it
// is read as if answered, and the question is kept; an open date is read in
// each way, so that the other files can tell which is likely. It fails where the
// file can't be read as a log.
func Look(folder, name string) ([]Log, error) {
	return lookWith(folder, name, recording.Layout{}, nil)
}

// maxQuestions is how much one file may leave open.
const maxQuestions = 4

func lookWith(folder, name string, layout recording.Layout, asked []Question) ([]Log, error) {
	r, err := recording.Open(filepath.Join(folder, name), recording.Options{Layout: layout})
	if err == nil {
		if places := unnamedTemperatures(r); len(places) > 0 && len(layout.Columns) == 0 {
			layout.Columns = places
			if all, err := lookWith(folder, name, layout, asked); err == nil {
				return all, nil
			}
		}
		return []Log{{Path: name, Record: r, signature: signatureOf(r), Asked: asked, Columns: layout.Columns}}, nil
	}
	var open *recording.AmbiguousError
	if !errors.As(err, &open) || len(asked) >= maxQuestions {
		return nil, err
	}
	q, ok := questionOf(name, open)
	if !ok {
		return nil, err
	}
	asked = append(slices.Clip(asked), q)
	var all []Log
	for _, way := range open.Readings {
		answered := layout
		if toml.Unmarshal([]byte(way.Setting), &answered) != nil {
			return nil, err
		}
		found, failed := lookWith(folder, name, answered, asked)
		if failed == nil {
			all = append(all, found...)
		}
		if q.Key != "date_order" && len(all) > 0 {
			break
		}
	}
	if len(all) == 0 {
		return nil, err
	}
	return all, nil
}

// unnamedTemperatures lists the columns whose name is that of a place on the
// car, but which say neither what they measure nor in which unit.
func unnamedTemperatures(r *recording.Recording) []recording.ColumnLayout {
	var all []recording.ColumnLayout
	for _, c := range r.Columns {
		lo, hi := c.Series.MinMax(c.Series.Interval())
		if c.Dimension == series.Dimensionless && c.Unit == "" && placeOf(c.Name) != Undecided && lo > -60 && hi < 500 && hi-lo >= 2 {
			all = append(all, recording.ColumnLayout{Name: c.Name, Holds: recording.HoldsTemperature})
		}
	}
	return all
}

func signatureOf(r *recording.Recording) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s", r.Format)
	for _, c := range r.Columns {
		fmt.Fprintf(&b, "|%s/%s", c.Name, c.Dimension)
	}
	return b.String()
}

// Likeliest takes of each file's readings the first that shares time with a
// file that has one reading only, or else the first.
func Likeliest(files [][]Log) []Log {
	var sure, all []Log
	for _, ways := range files {
		if len(ways) == 1 {
			sure = append(sure, ways[0])
		}
	}
	for _, ways := range files {
		at := slices.IndexFunc(ways, func(w Log) bool {
			return slices.ContainsFunc(sure, func(s Log) bool { return overlap([]Log{w}, []Log{s}, 0) })
		})
		all = append(all, ways[max(at, 0)])
	}
	return all
}

// layoutQuestions are those of a device, each key once.
func layoutQuestions(have, more []Question) []Question {
	for _, q := range more {
		if !slices.ContainsFunc(have, func(h Question) bool { return h.Key == q.Key }) {
			have = append(have, q)
		}
	}
	return have
}
