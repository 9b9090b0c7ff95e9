package database

import (
	"slices"
	"strconv"
	"strings"
)

// tableOf is one table of the schema.
type tableOf struct {
	name    string
	root    int
	columns []column
	// number is the column that is the row's own number, −1 for none; it is
	// stored as null.
	number int
	// stored lists the columns in the order of a stored row, where that is not
	// theirs: of tables without row numbers the key comes first.
	stored []int
	// computed are columns whose values are not stored.
	computed []string
}

// column is one that is stored.
type column struct {
	name string
	// missing is what rows hold that were written before the column was added.
	missing string
	// integer says that it is declared as INTEGER, as one must be that is the row's
	// own number.
	integer bool
}

func (t *tableOf) names() []string {
	all := make([]string, len(t.columns))
	for i, c := range t.columns {
		all[i] = c.name
	}
	return all
}

// row puts the values of a stored row into the order of the columns.
func (t *tableOf) row(id int64, values []string) []string {
	row := make([]string, len(t.columns))
	for i, c := range t.columns {
		at := i
		if t.stored != nil {
			at = t.stored[i]
		}
		if row[i] = c.missing; at < len(values) {
			row[i] = values[at]
		}
	}
	if t.number >= 0 && row[t.number] == "" {
		row[t.number] = strconv.FormatInt(id, 10)
	}
	return row
}

// statement reads the statement that made a table. It has no columns where it
// is none.
func statement(s string) tableOf {
	t := tableOf{number: -1}
	from, to := opening(s), strings.LastIndexByte(s, ')')
	if from < 0 || to < from {
		return t
	}
	var key []string
	for _, part := range parts(s[from+1 : to]) {
		name, rest := firstName(part)
		if name == "" {
			continue
		}
		if quoted := strings.ContainsAny(part[:1], "\"`["); !quoted && slices.Contains([]string{"PRIMARY", "UNIQUE", "CHECK", "FOREIGN", "CONSTRAINT"}, strings.ToUpper(name)) {
			if k := keyOf(part); k != nil {
				key = k
			}
			continue
		}
		up := " " + strings.Join(strings.Fields(strings.ToUpper(rest)), " ") + " "
		if computed := strings.Contains(up, " AS (") || strings.Contains(up, " AS("); computed && !strings.Contains(up, " STORED ") {
			t.computed = append(t.computed, name)
			continue
		}
		integer := strings.HasPrefix(up, " INTEGER ")
		if strings.Contains(up, " PRIMARY KEY") {
			key = []string{name}
			if integer {
				t.number = len(t.columns)
			}
		}
		t.columns = append(t.columns, column{name, defaultOf(rest), integer})
	}
	switch options := " " + strings.Join(strings.Fields(strings.ToUpper(strings.ReplaceAll(s[to+1:], ",", " "))), " ") + " "; {
	case strings.Contains(options, " WITHOUT ROWID "):
		t.number = -1
		t.order(key)
	case len(key) == 1 && t.number < 0: // PRIMARY KEY(id) behind the columns
		t.number = slices.IndexFunc(t.columns, func(c column) bool { return c.integer && strings.EqualFold(c.name, key[0]) })
	}
	return t
}

// order sets where the columns of a table without row numbers are stored: those
// of its key first, in the key's order (sqlite.org/fileformat2.html, 2.4).
func (t *tableOf) order(key []string) {
	t.stored = make([]int, len(t.columns))
	for i := range t.stored {
		t.stored[i] = -1
	}
	next := 0
	for _, k := range key {
		if i := slices.IndexFunc(t.columns, func(c column) bool { return strings.EqualFold(c.name, k) }); i >= 0 && t.stored[i] < 0 {
			t.stored[i] = next
			next++
		}
	}
	for i := range t.stored {
		if t.stored[i] < 0 {
			t.stored[i] = next
			next++
		}
	}
}

// keyOf returns the columns of a key that is named for the table, nil for
// another constraint.
func keyOf(part string) []string {
	up := strings.ToUpper(part)
	at := strings.Index(up, "PRIMARY")
	if at < 0 || strings.Contains(up[:at], "(") {
		return nil
	}
	from := strings.IndexByte(part[at:], '(')
	to := strings.LastIndexByte(part, ')')
	if from < 0 || to < at+from {
		return nil
	}
	var key []string
	for _, p := range parts(part[at+from+1 : to]) {
		name, _ := firstName(p)
		key = append(key, name)
	}
	return key
}

// defaultOf returns the constant that a column's definition names for rows
// without a value of it; empty where it names none, or an expression.
func defaultOf(definition string) string {
	words := strings.Fields(definition)
	i := slices.IndexFunc(words, func(w string) bool { return strings.EqualFold(w, "DEFAULT") })
	if i < 0 || i+1 == len(words) {
		return ""
	}
	_, rest, _ := strings.Cut(definition, words[i])
	rest = strings.TrimSpace(rest)
	if rest[0] == '\'' {
		text, _, _ := strings.Cut(rest[1:], "'")
		return text
	}
	v := strings.Trim(words[i+1], "()")
	if _, err := strconv.ParseFloat(v, 64); err != nil {
		return ""
	}
	return v
}

// opening is where the list of columns begins: the first bracket outside of
// quotes; −1 where there is none.
func opening(s string) int {
	var quote byte
	for i := range len(s) {
		switch c := s[i]; {
		case quote != 0:
			if c == quote {
				quote = 0
			}
		case c == '(':
			return i
		case c == '[':
			quote = ']'
		case c == '"' || c == '`' || c == '\'':
			quote = c
		}
	}
	return -1
}

// parts cuts a list at commas outside of brackets and quotes, and takes out
// comments.
func parts(list string) []string {
	var all []string
	var part strings.Builder
	depth, quote := 0, byte(0)
	for i := 0; i < len(list); i++ {
		c := list[i]
		switch {
		case quote != 0:
			if c == quote {
				quote = 0
			}
		case c == '-' && strings.HasPrefix(list[i:], "--"):
			for i < len(list) && list[i] != '\n' {
				i++
			}
			continue
		case c == '"' || c == '`' || c == '\'':
			quote = c
		case c == '[':
			quote = ']'
		case c == '(':
			depth++
		case c == ')':
			depth--
		case c == ',' && depth == 0:
			all = append(all, strings.TrimSpace(part.String()))
			part.Reset()
			continue
		}
		part.WriteByte(c)
	}
	return append(all, strings.TrimSpace(part.String()))
}

// firstName cuts the name off a column's definition.
func firstName(part string) (name, rest string) {
	if part == "" {
		return "", ""
	}
	end := map[byte]string{'"': `"`, '`': "`", '[': "]", '\'': "'"}[part[0]]
	if end != "" {
		name, rest, _ = strings.Cut(part[1:], end)
		return name, rest
	}
	if i := strings.IndexAny(part, " \t\r\n("); i >= 0 {
		return part[:i], part[i:]
	}
	return part, ""
}
