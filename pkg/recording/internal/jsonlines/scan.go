package jsonlines

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"unicode/utf8"

	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
)

// members are those of an object, in the order of the file.
type members []entry

type entry struct {
	name  string
	value any
}

// value reads the one JSON value of a text: members, []any, json.Number, string,
// bool or nil.
func value(text []byte) (any, error) {
	var raw json.RawMessage
	if err := json.Unmarshal(text, &raw); err != nil { // which checks all of it
		return nil, err
	}
	s := scanner{rest: text}
	return s.value(0)
}

// whole reads all of a text: one value, or several behind each other as a list.
func whole(text []byte) (any, error) {
	d := json.NewDecoder(bytes.NewReader(text))
	var all []any
	for {
		var raw json.RawMessage
		err := d.Decode(&raw)
		switch {
		case err == io.EOF && len(all) == 1:
			return all[0], nil
		case err == io.EOF && len(all) > 1:
			return all, nil
		case err != nil:
			return nil, err
		}
		s := scanner{rest: raw}
		v, err := s.value(0)
		if err != nil {
			return nil, err
		}
		all = append(all, v)
	}
}

// scanner takes apart a text that is known to be JSON, and keeps the order of
// members and the digits of numbers, several times faster than by tokens of the
// standard library.
type scanner struct{ rest []byte }

// deepestValue bounds what lies in each other.
const deepestValue = 16

// next skips what stands between values and returns the byte that follows.
func (s *scanner) next() byte {
	for i, c := range s.rest {
		if c > ' ' && c != ',' && c != ':' {
			s.rest = s.rest[i:]
			return c
		}
	}
	s.rest = nil
	return 0
}

func (s *scanner) value(depth int) (any, error) {
	if depth > deepestValue {
		return nil, fmt.Errorf("it nests more than %d deep: %w", deepestValue, account.ErrLimit)
	}
	switch s.next() {
	case '{':
		s.rest = s.rest[1:]
		all := members{}
		for s.next() == '"' {
			name := s.text()
			v, err := s.value(depth + 1)
			if err != nil {
				return nil, err
			}
			all = append(all, entry{name, v})
		}
		return all, s.close()
	case '[':
		s.rest = s.rest[1:]
		list := []any{}
		for c := s.next(); c != ']' && c != 0; c = s.next() {
			v, err := s.value(depth + 1)
			if err != nil {
				return nil, err
			}
			list = append(list, v)
		}
		return list, s.close()
	case '"':
		return s.text(), nil
	case 't':
		return true, s.skip(len("true"))
	case 'f':
		return false, s.skip(len("false"))
	case 'n':
		return nil, s.skip(len("null"))
	}
	n := bytes.IndexAny(s.rest, ",]} \t\r\n")
	if n < 0 {
		n = len(s.rest)
	}
	number := json.Number(s.rest[:n])
	return number, s.skip(n)
}

// close passes the end of an object or list.
func (s *scanner) close() error { return s.skip(1) }

func (s *scanner) skip(n int) error {
	if n == 0 || n > len(s.rest) {
		return io.ErrUnexpectedEOF
	}
	s.rest = s.rest[n:]
	return nil
}

// text reads the string that begins here.
func (s *scanner) text() string {
	plain := true
	for i := 1; i < len(s.rest); i++ {
		switch s.rest[i] {
		case '\\':
			plain = false
			i++
		case '"':
			quoted := s.rest[:i+1]
			s.rest = s.rest[i+1:]
			if inner := quoted[1:i]; plain && utf8.Valid(inner) {
				return string(inner)
			}
			var text string
			if json.Unmarshal(quoted, &text) != nil {
				return string(quoted[1:i])
			}
			return text
		}
	}
	s.rest = nil
	return ""
}
