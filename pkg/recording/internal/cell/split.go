package cell

import (
	"bytes"

	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// Bytes that stand for delimiters of more than one character. Neither occurs
// in text.
const (
	spaces     = 0
	WideSpaces = 1
)

// DelimiterByte returns the byte of a delimiter, or one that stands for it.
func DelimiterByte(d layout.Delimiter) byte {
	switch d {
	case layout.Comma:
		return ','
	case layout.Semicolon:
		return ';'
	case layout.Tab:
		return '\t'
	case layout.Pipe:
		return '|'
	}
	if d == layout.WideSpaces {
		return WideSpaces
	}
	return spaces
}

// MaxColumns limits the cells of a line, so that a hostile one does not cost
// memory without bound.
const MaxColumns = 1000

// Split cuts a line into cells, reusing into. Cells keep blanks around
// them; quotes around a cell are removed. It stops after MaxColumns cells.
func Split(line []byte, delim byte, into [][]byte) [][]byte {
	into = into[:0]
	switch {
	case delim == spaces:
		return splitSpaces(line, into)
	case delim == WideSpaces:
		return splitWide(line, into)
	case bytes.IndexByte(line, '"') >= 0:
		into = splitQuoted(line, delim, into)
		if len(into) == 1 && len(line) > 2 && line[0] == '"' && line[len(line)-1] == '"' && bytes.IndexByte(into[0], delim) >= 0 {
			return Split(bytes.ReplaceAll(into[0], []byte(`""`), []byte(`"`)), delim, into) // the whole row in quotes
		}
		return into
	}
	for len(into) < MaxColumns {
		i := bytes.IndexByte(line, delim)
		if i < 0 {
			break
		}
		into = append(into, line[:i])
		line = line[i+1:]
	}
	return append(into, line)
}

func splitSpaces(line []byte, into [][]byte) [][]byte {
	i := 0
	for len(into) < MaxColumns {
		for i < len(line) && (line[i] == ' ' || line[i] == '\t') {
			i++
		}
		if i == len(line) {
			break
		}
		from := i
		if line[i] == '"' {
			if j := bytes.IndexByte(line[i+1:], '"'); j >= 0 {
				into = append(into, line[i+1:i+1+j])
				i += j + 2
				continue
			}
		}
		for i < len(line) && line[i] != ' ' && line[i] != '\t' {
			i++
		}
		into = append(into, line[from:i])
	}
	return into
}

// splitWide cuts at tabs and at two or more spaces.
func splitWide(line []byte, into [][]byte) [][]byte {
	line = bytes.Trim(line, " \t")
	for len(into) < MaxColumns {
		cut := 0
		for cut < len(line) && line[cut] != '\t' && !(line[cut] == ' ' && cut+1 < len(line) && (line[cut+1] == ' ' || line[cut+1] == '\t')) {
			cut++
		}
		if cut == len(line) {
			break
		}
		into = append(into, line[:cut])
		line = bytes.TrimLeft(line[cut:], " \t")
	}
	if len(line) == 0 {
		return into
	}
	return append(into, line)
}

func splitQuoted(line []byte, delim byte, into [][]byte) [][]byte {
	for len(into) < MaxColumns {
		start := bytes.TrimLeft(line, " ")
		if len(start) > 0 && start[0] == '"' {
			end := 1
			for end < len(start) {
				if start[end] == '"' {
					if end+1 < len(start) && start[end+1] == '"' {
						end += 2
						continue
					}
					break
				}
				end++
			}
			end = min(end, len(start))
			cell := start[1:max(1, end)]
			after := start[min(len(start), end+1):]
			i := bytes.IndexByte(after, delim)
			into = append(into, cell)
			if i < 0 {
				return into
			}
			line = after[i+1:]
			continue
		}
		i := bytes.IndexByte(line, delim)
		if i < 0 {
			break
		}
		into = append(into, line[:i])
		line = line[i+1:]
	}
	return append(into, line)
}
