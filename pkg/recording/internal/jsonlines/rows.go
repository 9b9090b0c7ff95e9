package jsonlines

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/estimate"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/heading"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
)

// found is a table within a document, and what is known of the lists within its
// objects.
type found struct {
	names   []string
	rows    [][]string
	entry   []int // which entry of the document each row came from, ascending
	rejects []account.Reject

	place   map[string]int // of names
	vectors map[string]int // lists taken for so many channels, by name
	left    []string       // times of a whole object, where its readings have their own
	batches bool           // an object held several rows
}

// member is one value of an object, by its name; those of an object within are
// named "outer.inner".
type member struct{ name, value string }

// leaves are the values within an object, however deep.
type leaves struct {
	one     []member
	lists   []column
	records []entry // lists of objects
}

// column is a list of values.
type column struct {
	name   string
	values []string
}

func isScalar(v any) bool {
	switch v.(type) {
	case members, []any:
		return false
	}
	return true
}

// take adds the members of an object.
func (l *leaves) take(all members, prefix string, depth int) error {
	for _, m := range all {
		name := prefix + m.name
		switch v := m.value.(type) {
		case members:
			if depth == deepest {
				return fmt.Errorf("holds more than %d objects in each other, in %q", deepest, name)
			}
			if err := l.take(v, name+".", depth+1); err != nil {
				return err
			}
		case []any:
			if err := l.list(name, v); err != nil {
				return err
			}
		default:
			l.one = append(l.one, member{name, text(v)})
		}
	}
	return nil
}

// list adds a list, of values or of objects.
func (l *leaves) list(name string, v []any) error {
	c := column{name: name}
	objects := 0
	for _, x := range v {
		switch x.(type) {
		case members:
			objects++
		case []any:
			return fmt.Errorf("holds lists within a list, in %q", name)
		default:
			c.values = append(c.values, text(x))
		}
	}
	switch {
	case objects == 0:
		l.lists = append(l.lists, c)
	case objects == len(v):
		l.records = append(l.records, entry{name, v})
	default:
		return fmt.Errorf("holds a list of objects and of values, in %q", name)
	}
	return nil
}

// rowsOf returns the rows that an object holds: one, or one for each entry of
// its lists where those have times, or of its list of objects.
func (f *found) rowsOf(all members) ([][]member, error) {
	var l leaves
	if err := l.take(all, "", 1); err != nil {
		return nil, err
	}
	switch {
	case len(l.records) > 1:
		return nil, fmt.Errorf("holds several lists of objects, %q and %q", l.records[0].name, l.records[1].name)
	case len(l.records) == 1 && len(l.lists) > 0:
		return nil, fmt.Errorf("holds a list of objects, %q, beside one of values, %q", l.records[0].name, l.lists[0].name)
	case len(l.records) == 1:
		return f.ofRecords(&l)
	case slices.ContainsFunc(l.lists, func(c column) bool { return isClock(c.name) }):
		return f.ofLists(&l)
	}
	if err := f.ofVectors(&l); err != nil {
		return nil, err
	}
	return [][]member{l.one}, nil
}

// ofRecords returns a row for each object of a list.
func (f *found) ofRecords(l *leaves) ([][]member, error) {
	name, list := l.records[0].name, l.records[0].value.([]any)
	var rows [][]member
	clock, channel := "", false
	for _, x := range list {
		var inner leaves
		if err := inner.take(x.(members), "", 1); err != nil {
			return nil, err
		}
		if len(inner.records) > 0 {
			return nil, fmt.Errorf("holds lists of objects in each other, %q in %q", inner.records[0].name, name)
		}
		if err := f.ofVectors(&inner); err != nil {
			return nil, err
		}
		for i, m := range inner.one {
			if isClock(m.name) && clock == "" {
				clock = m.value
			}
			channel = channel || heading.NamesChannels(last(m.name))
			if slices.ContainsFunc(l.one, func(o member) bool { return o.name == m.name }) {
				inner.one[i].name = name + "." + m.name
			}
		}
		rows = append(rows, inner.one)
	}
	if clock == "" && len(list) > 1 && !channel {
		return nil, fmt.Errorf("holds %d readings in %q without a time for each", len(list), name)
	}
	return f.withOuter(l.one, rows, clock, name)
}

// ofLists returns a row for each entry of lists of one length, of which one
// holds times.
func (f *found) ofLists(l *leaves) ([][]member, error) {
	clock, n := l.lists[0], len(l.lists[0].values)
	for _, c := range l.lists {
		if len(c.values) != n {
			return nil, fmt.Errorf("holds lists of different lengths: %d values in %q, %d in %q", n, l.lists[0].name, len(c.values), c.name)
		}
		if isClock(c.name) {
			clock = c
		}
	}
	rows := make([][]member, n)
	for i := range rows {
		for _, c := range l.lists {
			rows[i] = append(rows[i], member{c.name, c.values[i]})
		}
	}
	if n == 0 {
		return nil, fmt.Errorf("holds lists without an entry")
	}
	return f.withOuter(l.one, rows, clock.values[0], clock.name)
}

// withOuter gives each row the values that stand once for all of them. A time
// for all of them beside one for each is left out where the latter are complete,
// and refused where they only count from it.
func (f *found) withOuter(outer []member, rows [][]member, clock, name string) ([][]member, error) {
	var kept []member
	for _, m := range outer {
		switch {
		case clock == "" || !isClock(m.name) || !isWhen(m.value):
			kept = append(kept, m)
		case !isWhen(clock):
			return nil, fmt.Errorf("has one time for all its readings, %q, and one for each, in %q, and does not say how they add up", m.name, name)
		case !slices.Contains(f.left, m.name):
			f.left = append(f.left, m.name)
		}
	}
	for i := range rows {
		rows[i] = append(slices.Clone(kept), rows[i]...)
	}
	f.batches = f.batches || len(rows) > 1
	return rows, nil
}

// longestVector is how many values of one moment a list may hold: loggers have
// up to sixteen channels. Common practice, no source.
const longestVector = 16

// ofVectors turns lists of the same few values in every object into a channel
// each.
func (f *found) ofVectors(l *leaves) error {
	for _, c := range l.lists {
		n, seen := f.vectors[c.name]
		switch {
		case len(c.values) == 0:
			continue
		case len(c.values) > longestVector:
			return fmt.Errorf("holds %d values in %q without a list of times beside it", len(c.values), c.name)
		case seen && n != len(c.values):
			return fmt.Errorf("holds %d values in %q, where objects before it hold %d", len(c.values), c.name, n)
		case !seen && f.vectors == nil:
			f.vectors = map[string]int{}
			fallthrough
		case !seen:
			f.vectors[c.name] = len(c.values)
		}
		for i, v := range c.values {
			name := c.name
			if len(c.values) > 1 {
				name += " " + strconv.Itoa(i+1)
			}
			l.one = append(l.one, member{name, v})
		}
	}
	l.lists = nil
	return nil
}

// add puts a row behind the others; new names become columns.
func (f *found) add(row []member, entry int) {
	if f.place == nil {
		f.place = map[string]int{}
	}
	cells := make([]string, len(f.names))
	for _, m := range row {
		i, ok := f.place[m.name]
		if !ok {
			if len(f.names) >= mostColumns {
				continue
			}
			i = len(f.names)
			f.place[m.name] = i
			f.names, cells = append(f.names, cell.Plain(m.name)), append(cells, "")
		}
		cells[i] = m.value
	}
	f.rows, f.entry = append(f.rows, cells), append(f.entry, entry)
}

// entries is how many entries of the document gave the rows.
func (f *found) entries() int {
	n := 0
	for i, e := range f.entry {
		if i == 0 || e != f.entry[i-1] {
			n++
		}
	}
	return n
}

// tell warns of what was taken for something that it may not be, and of more
// than one object in fifty that was lost with all its readings.
func (f *found) tell(t *table.Table, lost, objects int) {
	if f.batches && lost*50 > objects {
		t.Warnings.Add(estimate.LostReadings, t.Name(), fmt.Sprintf("%d of %d objects, each with several readings, could not be used", lost, objects))
	}
	names := make([]string, 0, len(f.vectors))
	for n := range f.vectors {
		names = append(names, n)
	}
	slices.Sort(names)
	for _, n := range names {
		if f.vectors[n] > 1 {
			t.Warnings.Add(estimate.Ambiguous, t.Name(), fmt.Sprintf("each object holds a list of %d values, %q: they are taken for %d channels at one moment; if they are readings one after the other, export each with its time", f.vectors[n], n, f.vectors[n]))
		}
	}
	if len(f.left) > 0 {
		t.Warnings.Add(account.OtherColumns, t.Name(), fmt.Sprintf("%q stand once for many readings, each of which has a time of its own, and were not read", f.left))
	}
}

func last(name string) string { return name[strings.LastIndexByte(name, '.')+1:] }

// isClock reports whether a member may be the time of readings, by its name.
func isClock(name string) bool {
	name = last(name)
	words := heading.Words(name)
	if slices.ContainsFunc(words, func(w string) bool {
		return slices.Contains([]string{"interval", "duration", "period", "step", "rate"}, w)
	}) {
		return false
	}
	return heading.SuggestsTime(name) || slices.ContainsFunc(words, func(w string) bool { return w == "date" || w == "times" || w == "timestamps" })
}

// isWhen reports whether a value is a moment, not a length of time.
func isWhen(value string) bool {
	if v, err := strconv.ParseFloat(value, 64); err == nil {
		return v > 1e8 // seconds since 1970, or finer
	}
	return strings.ContainsAny(value, "0123456789")
}
