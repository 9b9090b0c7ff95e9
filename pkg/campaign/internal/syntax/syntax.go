// Package syntax says what is wrong with a text that is no campaign file, and what to
// do about it.
package syntax

import (
	"bytes"
	"regexp"
	"strings"
	"unicode/utf8"

	"github.com/bonnetbook/bonnetbook/pkg/campaign/internal/problem"
)

// Readable returns the text without a byte order mark, or the problem of a
// file that is no text of a campaign at all.
func Readable(text []byte) ([]byte, *problem.Problem) {
	if bytes.HasPrefix(text, []byte("\xff\xfe")) || bytes.HasPrefix(text, []byte("\xfe\xff")) {
		return nil, &problem.Problem{Line: 1, Message: "the file is written in UTF-16, but a campaign file is UTF-8; open it in an editor and save it with the encoding UTF-8"}
	}
	text = bytes.TrimPrefix(text, []byte("\ufeff"))
	if i := bytes.IndexByte(text, 0); i >= 0 {
		return nil, &problem.Problem{Line: lineAt(text, i), Message: "the file is not text (it holds a zero byte), but a campaign file is text in UTF-8; is it another file? A new one is started with campaign.Draft(folder)"}
	}
	for i := 0; i < len(text); {
		r, n := utf8.DecodeRune(text[i:])
		if r == utf8.RuneError && n == 1 {
			return nil, &problem.Problem{Line: lineAt(text, i), Message: "found a character that is not UTF-8 (an umlaut or a degree sign of an older encoding?); open the file in an editor and save it with the encoding UTF-8"}
		}
		i += n
	}
	return text, nil
}

func lineAt(text []byte, offset int) int { return 1 + bytes.Count(text[:offset], []byte("\n")) }

// Empty reports whether there is nothing but blanks and comments.
func Empty(text []byte) bool {
	for line := range bytes.Lines(text) {
		if line = bytes.TrimSpace(line); len(line) > 0 && line[0] != '#' {
			return false
		}
	}
	return true
}

var commaValue = regexp.MustCompile(`=\s*[-+]?[0-9]+,[0-9]`)

// Advice says what to do about a line that cannot be parsed, by what is
// seen in it.
func Advice(text []byte, line int) string {
	lines := bytes.Split(text, []byte("\n"))
	if line < 1 || line > len(lines) {
		return "text values need quotation marks, and each key = value stands on a line of its own"
	}
	s := strings.TrimSpace(string(lines[line-1]))
	switch {
	case strings.ContainsAny(s, "“”„«»’"):
		return `use straight quotation marks: "1050 kg"`
	case strings.Contains(s, `\`):
		return `a backslash between quotation marks begins a sign of its own, as \t does; write folders with forward slashes: "logs/may.csv"`
	case strings.HasPrefix(s, "["):
		return "a part begins with its name in brackets on a line of its own: [car], or [[drive]] with two brackets where there are several"
	case commaValue.MatchString(s):
		return "write numbers with a decimal point: 9.0"
	case line == 1 && !strings.Contains(s, "=") && strings.ContainsAny(s, ",;\t"):
		return "this looks like a log rather than a campaign file; start one from the folder of logs with campaign.Draft(folder)"
	case strings.HasSuffix(s, "="):
		return `nothing follows the "="; write key = value, for example mass = "1050 kg"`
	case strings.Count(s, `"`)%2 == 1:
		return "text values need quotation marks at both ends"
	}
	return "text values need quotation marks, and each key = value stands on a line of its own"
}
