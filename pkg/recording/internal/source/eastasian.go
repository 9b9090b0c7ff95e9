package source

import (
	"bytes"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/japanese"
	"golang.org/x/text/encoding/simplifiedchinese"

	"github.com/bonnetbook/bonnetbook/pkg/recording/layout"
)

// decoders are those of encodings that are decoded before anything else looks
// at the text: their characters hold bytes of ASCII.
var decoders = map[layout.Encoding]encoding.Encoding{
	layout.GBK: simplifiedchinese.GBK, layout.ShiftJIS: japanese.ShiftJIS,
}

// eastAsian tells GBK and Shift-JIS from Windows-1252 in text that is not UTF-8;
// empty for neither. In GBK nearly all bytes beyond ASCII come in pairs of such
// bytes (the characters of GB 2312), where Western text has single ones; what
// Shift-JIS decodes to holds kana or common kanji and no bytes without meaning.
func eastAsian(h []byte) layout.Encoding {
	high, paired, c1 := 0, 0, 0
	for i := 0; i < len(h); i++ {
		if h[i] < 0x80 {
			continue
		}
		if high++; h[i] >= 0x81 && h[i] <= 0x9f {
			c1++
		}
		if h[i] >= 0xa1 && i+1 < len(h) && h[i+1] >= 0xa1 {
			paired += 2
			high++
			i++
		}
	}
	if high < 4 {
		return ""
	}
	if i := bytes.LastIndexByte(h, '\n'); i > 0 {
		h = h[:i] // a character may be cut at the end
	}
	if paired*10 >= high*7 && ideographs(simplifiedchinese.GBK, h) {
		return layout.GBK
	}
	if c1*4 >= high && ideographs(japanese.ShiftJIS, h) {
		return layout.ShiftJIS
	}
	return ""
}

// ideographs reports whether text decodes without fault to letters of East Asia
// mostly, beside ASCII.
func ideographs(e encoding.Encoding, h []byte) bool {
	text, err := e.NewDecoder().Bytes(h)
	if err != nil || bytes.ContainsRune(text, utf8.RuneError) {
		return false
	}
	own, others := 0, 0
	for _, c := range string(text) {
		switch {
		case c < 0x80:
		case unicode.In(c, unicode.Han, unicode.Hiragana, unicode.Katakana), c == '℃', c == '°', c == '（', c == '）', c == '：':
			own++
		default:
			others++
		}
	}
	return own >= 2 && own >= 4*others
}
