package spreadsheet

import (
	"bufio"
	"bytes"
	"fmt"
	"html"
	"io"
	"strings"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/cell"
)

// tags goes through the tags of a part and the text before each. The general
// decoder of XML takes much longer, and sheets are nothing but tags.
type tags struct {
	in   *bufio.Reader
	text []byte // before the tag
	tag  []byte // without its brackets
}

func newTags(r io.Reader) *tags { return &tags{in: bufio.NewReaderSize(r, 2*maxPiece)} }

// next reads up to the end of the next tag; io.EOF at the end of the part.
func (t *tags) next() error {
	text, err := t.in.ReadSlice('<')
	if err != nil {
		if err == io.EOF {
			return io.EOF
		}
		return fmt.Errorf("damaged sheet: %w", err)
	}
	t.text = append(t.text[:0], text[:len(text)-1]...)
	t.tag = t.tag[:0]
	quotes := 0
	for {
		piece, err := t.in.ReadSlice('>')
		if err != nil {
			return fmt.Errorf("damaged sheet: cut within a tag")
		}
		t.tag = append(t.tag, piece...)
		quotes += bytes.Count(piece, []byte{'"'})
		whole := t.tag[:len(t.tag)-1]
		switch {
		case bytes.HasPrefix(whole, []byte("![CDATA[")):
			if !bytes.HasSuffix(whole, []byte("]]")) {
				continue
			}
		case bytes.HasPrefix(whole, []byte("!--")):
			if len(whole) < 5 || !bytes.HasSuffix(whole, []byte("--")) {
				continue
			}
		case quotes%2 == 1:
			continue
		}
		t.tag = whole
		return nil
	}
}

// name returns the tag's name without a prefix; end and empty say whether it
// ends an element.
func (t *tags) name() (name []byte, end, empty bool) {
	tag := t.tag
	if end = bytes.HasPrefix(tag, []byte{'/'}); end {
		tag = tag[1:]
	}
	empty = !end && bytes.HasSuffix(tag, []byte{'/'})
	if i := bytes.IndexAny(tag, " \t\r\n/"); i >= 0 {
		tag = tag[:i]
	}
	if i := bytes.IndexByte(tag, ':'); i >= 0 {
		tag = tag[i+1:]
	}
	return tag, end, empty
}

// attribute returns the value of an attribute without a prefix, as it stands.
func (t *tags) attribute(name string) []byte {
	rest := t.tag
	for {
		i := bytes.Index(rest, []byte(name))
		if i < 0 {
			return nil
		}
		before := i > 0 && (rest[i-1] == ' ' || rest[i-1] == '\t' || rest[i-1] == '\n' || rest[i-1] == '\r')
		rest = rest[i+len(name):]
		value := bytes.TrimLeft(rest, " \t\r\n")
		if !before || len(value) < 2 || value[0] != '=' {
			continue
		}
		value = bytes.TrimLeft(value[1:], " \t\r\n")
		if len(value) == 0 || value[0] != '"' && value[0] != '\'' {
			return nil
		}
		if j := bytes.IndexByte(value[1:], value[0]); j >= 0 {
			return value[1 : 1+j]
		}
		return nil
	}
}

// content returns a text with what is escaped in it.
func content(text []byte) string {
	if bytes.IndexByte(text, '&') < 0 {
		return string(text)
	}
	return html.UnescapeString(string(text))
}

// sharedTexts reads the texts that cells share.
func sharedTexts(r io.Reader) ([]string, error) {
	t := newTags(r)
	var all []string
	var one strings.Builder
	aloud := false // a reading aid beside the text
	for {
		if err := t.next(); err == io.EOF {
			return all, nil
		} else if err != nil {
			return nil, err
		}
		if plain, ok := bytes.CutPrefix(t.tag, []byte("![CDATA[")); ok {
			one.Write(bytes.TrimSuffix(plain, []byte("]]")))
			continue
		}
		name, end, empty := t.name()
		switch {
		case string(name) == "si" && (end || empty):
			all = append(all, one.String())
			one.Reset()
		case string(name) == "si":
			one.Reset()
		case string(name) == "rPh":
			aloud = !end && !empty
		case string(name) == "t" && end && !aloud:
			one.WriteString(content(t.text))
		}
	}
}

// rowsOf calls f with the cells of each row of a sheet's part as they are
// stored, blank rows included.
//
// complex: one case for each tag that makes a row
func rowsOf(r io.Reader, shared []string, f func([]string) error) error {
	t := newTags(r)
	row, column := 0, 0
	var cells []string
	var kind string
	var value []byte
	for {
		if err := t.next(); err == io.EOF {
			return nil
		} else if err != nil {
			return err
		}
		if plain, ok := bytes.CutPrefix(t.tag, []byte("![CDATA[")); ok {
			value = append(value, bytes.TrimSuffix(plain, []byte("]]"))...)
			continue
		}
		name, end, empty := t.name()
		switch string(name) {
		case "row":
			if !end {
				at := number(t.attribute("r"))
				if at == 0 {
					at = row + 1
				}
				for row++; row < at; row++ {
					if err := f(nil); err != nil {
						return err
					}
				}
				cells, column = cells[:0], 0
			}
			if end || empty {
				if err := f(cells); err != nil {
					return err
				}
			}
		case "c":
			if !end {
				kind, value = string(t.attribute("t")), value[:0]
				if c := columnOf(t.attribute("r")); c > 0 {
					column = c
				} else {
					column++
				}
			}
			if (end || empty) && column <= cell.MaxColumns {
				for len(cells) < column {
					cells = append(cells, "")
				}
				cells[column-1] = stored(kind, string(value), shared)
			}
		case "v", "t":
			if end {
				value = append(value, content(t.text)...)
			}
		case "sheetData":
			if end {
				return nil
			}
		}
	}
}

// stored returns a cell's text by its kind.
func stored(kind, value string, shared []string) string {
	if kind != "s" {
		return value
	}
	if i := number([]byte(strings.TrimSpace(value))); i >= 0 && i < len(shared) && value != "" {
		return shared[i]
	}
	return ""
}

// number reads a whole number, 0 for none.
func number(b []byte) int {
	n := 0
	for _, c := range b {
		if c-'0' > 9 || n > 1<<30 {
			return 0
		}
		n = 10*n + int(c-'0')
	}
	return n
}

// columnOf returns the number of the column that a cell's name begins with:
// 28 for AB12.
func columnOf(name []byte) int {
	n := 0
	for _, c := range name {
		if c < 'A' || c > 'Z' || n > 1<<20 {
			break
		}
		n = 26*n + int(c-'A') + 1
	}
	return n
}
