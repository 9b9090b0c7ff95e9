package source

import (
	"bytes"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// A small file's buffer is as long as its text can be: a katakana of half width
// is one byte in Shift-JIS and three in UTF-8 (JIS X 0208, annex 1; the Unicode
// Standard, table 3-6), as is what stands for a byte that is no character.
func TestSmallFilesAreReadWhole(t *testing.T) {
	for _, c := range []struct {
		name     string
		bytes    string
		encoding layout.Encoding
		want     string
	}{
		{"one byte", "a", layout.UTF8, "a"},
		{"half width", strings.Repeat("\xb1", 1000), layout.ShiftJIS, strings.Repeat("ｱ", 1000)},
		{"no characters", strings.Repeat("\xff", 1000), layout.GBK, strings.Repeat("\ufffd", 1000)},
		{"half a pair", "\xd8\x00", layout.UTF16BE, ""},
		{"as long as a chunk", strings.Repeat("ab,\n", chunkSize/12), layout.UTF8, strings.Repeat("ab,\n", chunkSize/12)},
		{"a chunk and more", strings.Repeat("ab,\n", chunkSize/4+7), layout.UTF8, strings.Repeat("ab,\n", chunkSize/4+7)},
	} {
		s := &Source{Path: c.name, R: strings.NewReader(c.bytes), Size: int64(len(c.bytes)), Encoding: c.encoding}
		var got bytes.Buffer
		for l, err := range s.Lines() {
			if err != nil {
				t.Fatalf("%s: %v", c.name, err)
			}
			got.Write(l.Text)
			if l.Ended {
				got.WriteByte('\n')
			}
			if l.Long {
				t.Errorf("%s: line %d of %d bytes counts as long", c.name, l.Number, len(l.Text))
			}
		}
		if got.String() != c.want {
			t.Errorf("%s: %d bytes read, want %d", c.name, got.Len(), len(c.want))
		}
	}
}
