package cell

import (
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
)

// Filled is the number of cells up to the last that is not empty.
func Filled(cells [][]byte) int {
	n := len(cells)
	for n > 0 && len(cells[n-1]) == 0 {
		n--
	}
	return n
}

var plain = strings.NewReplacer("\t", " ", "\n", " ", "\r", " ", `"`, "'")

// Plain takes out of a text what would end a cell or its row where cells stand
// between tabs.
func Plain(s string) string { return plain.Replace(s) }

// fullWidth gives the brackets of East Asian texts their narrow form.
var fullWidth = strings.NewReplacer("（", "(", "）", ")", "［", "[", "］", "]")

// Clean makes a header cell readable.
func Clean(b []byte) string {
	s := fullWidth.Replace(strings.ReplaceAll(Decode(b), "Â°", "°"))
	s = strings.Map(func(r rune) rune {
		if r < ' ' && r != '\t' || r == 0x7f { // what is left of a damaged name
			return -1
		}
		return r
	}, s)
	return strings.TrimSpace(strings.Trim(strings.TrimPrefix(s, "\ufeff"), "\"'#"))
}

// Decode turns bytes of a cell into a string: UTF-8 where they are that,
// else Windows-1252.
func Decode(b []byte) string {
	if utf8.Valid(b) {
		return string(b)
	}
	s, err := charmap.Windows1252.NewDecoder().Bytes(b)
	if err != nil {
		return string(b)
	}
	return string(s)
}

// Excerpt returns a line as text for a person, cut if long.
func Excerpt(b []byte) string {
	const limit = 120
	cut := len(b) > limit
	if cut {
		b = b[:limit]
	}
	s := []rune(Decode(b))
	for i, c := range s {
		if c < ' ' && c != '\t' {
			s[i] = '·'
		}
	}
	if cut {
		return string(s) + "…"
	}
	return string(s)
}

// Trim removes blanks, tabs, quotes and no-break spaces from both ends, and what
// makes a text of a cell for spreadsheet programs: ="23.5".
func Trim(b []byte) []byte {
	if n := len(b); n > 0 && ends[b[0]] && ends[b[n-1]] {
		return b
	}
	return trim(b)
}

// ends are the bytes that begin and end nearly all cells, and stay.
var ends = func() (all [256]bool) {
	for _, c := range []byte("0123456789-+.") {
		all[c] = true
	}
	return all
}()

func trim(b []byte) []byte {
	for len(b) > 0 && (b[0] == ' ' || b[0] == '\t' || b[0] == '"' || b[0] == '\'' || b[0] == 0xa0 || b[0] == '=' || b[0] >= 0xc2) {
		switch {
		case b[0] == '=' && len(b) > 1 && b[1] == '"':
			b = b[2:]
		case b[0] == '=':
			return trimEnd(b)
		case b[0] >= 0xc2:
			k := wideBlank(b)
			if k == 0 {
				return trimEnd(b)
			}
			b = b[k:]
		default:
			b = b[1:]
		}
	}
	return trimEnd(b)
}

// wideBlank is the length of a no-break, narrow or ideographic space that b
// begins with in UTF-8, 0 for none.
func wideBlank(b []byte) int {
	for _, s := range []string{"\u00a0", "\u202f", "\u2009", "\u3000"} {
		if len(b) >= len(s) && string(b[:len(s)]) == s {
			return len(s)
		}
	}
	return 0
}

func trimEnd(b []byte) []byte {
	for len(b) > 0 {
		switch c := b[len(b)-1]; {
		case len(b) > 2 && b[len(b)-3] >= 0xe2 && wideBlank(b[len(b)-3:]) == 3:
			b = b[:len(b)-3]
			continue
		case c == ' ' || c == '\t' || c == '"' || c == '\'' || c == '\r':
			b = b[:len(b)-1]
			continue
		case c == 0xa0: // no-break space, alone or in UTF-8
			b = b[:len(b)-1]
			if len(b) > 0 && b[len(b)-1] == 0xc2 {
				b = b[:len(b)-1]
			}
			continue
		}
		break
	}
	return b
}
