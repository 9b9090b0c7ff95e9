package interpreter

import (
	"bytes"
	"fmt"
	"go/scanner"
	"go/token"
	"go/types"
	"regexp"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/meaning"
)

// placer makes errors of places in cells.
type placer struct{ meaning.Places }

// errorAt makes an error for a place in a cell.
func (p placer) errorAt(kind Kind, pos token.Pos, msg string) *Error {
	e := &Error{Kind: kind, Message: msg}
	if src, off := p.Find(pos); src != nil {
		e.Cell = src.Name
		e.Line, e.Column = lineColumn(src.Text, off)
		e.SourceLine = sourceLine(src.Text, e.Line)
	}
	return e
}

// syntaxError reports the parser's errors, the first of a line.
func syntaxError(src *meaning.Source, list scanner.ErrorList) *Error {
	var all []*Error
	last := 0
	for _, pe := range list {
		e := &Error{Kind: SyntaxError, Cell: src.Name, Message: "syntax error: " + pe.Msg}
		e.Line, e.Column = lineColumn(src.Text, pe.Pos.Offset)
		e.SourceLine = sourceLine(src.Text, e.Line)
		if e.Line == last {
			continue
		}
		last = e.Line
		all = append(all, e)
	}
	all[0].Hint = syntaxHint(src, all[0])
	return join(all)
}

func join(all []*Error) *Error {
	const most = 10
	if len(all) > most {
		all = all[:most]
	}
	first := all[0]
	first.More = append(first.More, all[1:]...)
	return first
}

func syntaxHint(src *meaning.Source, e *Error) string {
	line := strings.TrimSpace(e.SourceLine)
	if hint := meaning.Foreign(line); hint != "" {
		return hint
	}
	if hint := slipInSyntax(e.SourceLine, e.Column, e.Message); hint != "" {
		return hint
	}
	open := meaning.Open(meaning.Tokens(src.Text, false))
	switch {
	case strings.Contains(e.Message, "string literal not terminated"):
		return "The closing quotation mark is missing."
	case strings.Contains(e.Message, "illegal rune literal"), strings.Contains(e.Message, "more than one character in rune literal"):
		return "Text stands in double quotes; single quotes hold one character."
	case strings.Contains(e.Message, "missing import path"):
		return "The path of a package stands in quotes: import \"fmt\""
	case strings.Contains(e.Message, "expected boolean expression, found assignment"):
		return "= assigns; to compare, write ==."
	case strings.Contains(e.Message, "found '++'"), strings.Contains(e.Message, "found '--'"):
		return "++ and -- are statements of their own, not values: write them on a line alone."
	case strings.Contains(e.Message, "expected '{', found newline"), strings.Contains(e.Message, "unexpected newline, expecting {"):
		return braceOnSameLine
	case forIn.MatchString(line):
		return "Go writes: for i, x := range list { … }"
	case strings.HasPrefix(line, "def "):
		return "Go declares functions with func: func f(x int) int { … }"
	case typeFirst.MatchString(line):
		return "The type follows the name: var n int = 5, or n := 5."
	case blockHead.MatchString(line) && !strings.Contains(line, "{"):
		return "The block of an if or for stands in braces, even when it is one statement: if x > 2 { … }"
	case open > 0:
		return "A bracket that was opened is not closed."
	case open < 0:
		return "A bracket is closed that was not opened."
	case strings.HasPrefix(line, "else"):
		return "else must follow the closing brace on the same line: } else {"
	case strings.HasPrefix(line, "while "):
		return "Go has no while: write for condition { … }"
	}
	return textWithoutQuotes(e.SourceLine, e.Column)
}

var (
	forIn     = regexp.MustCompile(`^for\s+\w+(\s*,\s*\w+)?\s+in\s`)
	typeFirst = regexp.MustCompile(`^(int|float64|string|bool|double|float)\s+\w+\s*=`)
	blockHead = regexp.MustCompile(`^(if|for)\s`)
)

// typeErrors words the checker's errors. An error's continuation lines, which
// begin with a tab, are joined to it.
func (c *change) typeErrors(errs []types.Error) *Error {
	s := c.s
	var all []*Error
	for _, te := range errs {
		if strings.HasPrefix(te.Msg, "\t") && len(all) > 0 {
			all[len(all)-1].Message += "\n" + te.Msg
			continue
		}
		te.Msg = c.reword(te)
		e := s.place.errorAt(TypeError, te.Pos, te.Msg)
		if len(all) > 0 && all[len(all)-1].Line == e.Line && all[len(all)-1].Column == e.Column {
			continue
		}
		e.Hint = c.hint(te)
		all = append(all, e)
	}
	if first := all[0]; len(c.stale) > 0 {
		first.Hint = strings.TrimSpace(strings.Join(c.stale, "\n") + "\n" + first.Hint)
	}
	return join(all)
}

// lineColumn counts from 1; the column counts bytes.
func lineColumn(text []byte, off int) (line, column int) {
	line = 1 + bytes.Count(text[:off], []byte("\n"))
	return line, off - (bytes.LastIndexByte(text[:off], '\n') + 1) + 1
}

func sourceLine(text []byte, line int) string {
	lines := strings.Split(string(text), "\n")
	if line < 1 || line > len(lines) {
		return ""
	}
	return strings.TrimRight(lines[line-1], "\r")
}

var (
	undefinedName   = regexp.MustCompile(`^undefined: (\w+)$`)
	undefinedMember = regexp.MustCompile(`^undefined: (\w+)\.(\w+)$`)
	smallMember     = regexp.MustCompile(`^undefined: (\w+)\.\w+ \(but have (\w+)\)$`)
	textAndNumber   = regexp.MustCompile(`mismatched types (untyped )?string and (untyped )?(int|float)|mismatched types (untyped )?(int|float)\w* and (untyped )?string`)
	textToNumber    = regexp.MustCompile(`cannot convert .*string.* to type (u?int|float)`)
	wantsPointer    = regexp.MustCompile(`^cannot use (\S+) \(.*\b(?:type|struct type) ([\w.]+)\) as \*([\w.]+) value`)
	wantsValue      = regexp.MustCompile(`^cannot use (\S+) \(.*\btype \*([\w.]+)\) as ([\w.]+) value`)
	severalResults  = regexp.MustCompile(`in single-value context|^assignment mismatch: 1 variable but .* returns 2 values`)
	otherCount      = regexp.MustCompile(`^assignment mismatch: .* returns`)
	unknownField    = regexp.MustCompile(`^unknown field (\w+) in struct literal`)
	missingField    = regexp.MustCompile(`undefined \(type .* has no field or method (\w+)`)
	unusedValue     = regexp.MustCompile(` is not used$`)
)

const braceOnSameLine = "The opening brace stands at the end of the same line."

// hint returns a sentence for a beginner.
func (c *change) hint(e types.Error) string {
	s := c.s
	if h := c.hiddenBy(e); h != "" {
		return h
	}
	if m := undefinedName.FindStringSubmatch(e.Msg); m != nil {
		if hint := s.place.foreign(e.Pos, m[1]); hint != "" {
			return hint
		}
		if hint := slipInName(s.place.lineAt(e.Pos), m[1]); hint != "" {
			return hint
		}
		if n := c.assigned(e.Pos); n != nil {
			return c.hintAssigned(m[1], n)
		}
		return c.hintName(m[1])
	}
	if m := undefinedMember.FindStringSubmatch(e.Msg); m != nil {
		if path, ok := s.imports[m[1]]; ok {
			if pkg, err := s.packages.Import(path); err == nil {
				if n := nearest(m[2], exported(pkg)); n != "" {
					return fmt.Sprintf("did you mean %s.%s?", m[1], n)
				}
			}
		}
		return ""
	}
	if m := smallMember.FindStringSubmatch(e.Msg); m != nil {
		return fmt.Sprintf("What a package offers begins with a capital letter: %s.%s", m[1], m[2])
	}
	if hint := slipInTypes(s.place.lineAt(e.Pos), e.Msg); hint != "" {
		return hint
	}
	if strings.Contains(e.Msg, "TemperatureDifference") && strings.Contains(e.Msg, "Temperature") {
		return "A temperature and a difference of temperatures are two kinds of quantity: 90 °F is a temperature of 32.2 °C, but a difference of 90 °F is 50 K. Subtract two temperatures (a.Sub(b)) to get a difference, and add a difference to a temperature to get a temperature."
	}
	if m := missingField.FindStringSubmatch(e.Msg); m != nil && !strings.Contains(e.Msg, "but does have") {
		switch m[1] {
		case "len", "length", "size", "Length", "Size":
			return "The length is len(x)."
		case "append", "push", "add":
			return "To add to a slice, write x = append(x, value)."
		}
		return c.hintMember(m[1], e.Pos)
	}
	if m := unknownField.FindStringSubmatch(e.Msg); m != nil && !strings.Contains(e.Msg, "but does have") {
		return c.hintKey(m[1], e.Pos)
	}
	if m := wantsPointer.FindStringSubmatch(e.Msg); m != nil && m[2] == m[3] {
		return fmt.Sprintf("A pointer is wanted: put & before %s.", m[1])
	}
	if m := wantsValue.FindStringSubmatch(e.Msg); m != nil && m[2] == m[3] {
		return "A value is wanted, not a pointer to one: *p is the value that p points to."
	}
	switch {
	case strings.Contains(e.Msg, "operator + not defined on") && strings.Contains(e.Msg, "quantity.Temperature)"):
		return "Two temperatures cannot be added: add a difference to a temperature, or subtract two temperatures (a.Sub(b)) to get one."
	case strings.HasPrefix(e.Msg, "no new variables on left side"):
		return meaning.NothingNew
	case textAndNumber.MatchString(e.Msg):
		return "Text and numbers do not add up: fmt.Sprint(n) makes text of a number, strconv.Atoi(s) a number of text."
	case textToNumber.MatchString(e.Msg):
		return "strconv.Atoi(s) and strconv.ParseFloat(s, 64) read a number from text."
	case severalResults.MatchString(e.Msg):
		return "The function has several results: take them all, as in x, err := f()."
	case otherCount.MatchString(e.Msg):
		return "Write as many variables as the function has results; _ stands for one that is not wanted."
	case strings.HasSuffix(e.Msg, "(no value) used as value"):
		return "The function returns nothing: call it on a line alone."
	case strings.Contains(e.Msg, "(untyped float constant) truncated to int"):
		return "An integer cannot hold a fraction: convert the other value, as in float64(n) * 1.5."
	case strings.Contains(e.Msg, "non-boolean condition"):
		return "A condition must be true or false; compare with == or another operator."
	case strings.HasPrefix(e.Msg, "cannot use") && strings.Contains(e.Msg, "truncated"):
		return "The number has a fraction, which an integer cannot hold."
	case strings.Contains(e.Msg, "mismatched types int and float64"), strings.Contains(e.Msg, "mismatched types float64 and int"):
		return "Go does not mix kinds of numbers by itself: convert one of them, as in float64(n)."
	case unusedValue.MatchString(e.Msg):
		return "Only the last expression of a cell is shown; print this one, or assign it."
	}
	return ""
}

// foreign is what to write instead of a line that begins with an undeclared
// name, where it looks like one of another tool's.
func (p placer) foreign(pos token.Pos, name string) string {
	line := strings.TrimSpace(p.lineAt(pos))
	if rest := strings.TrimLeft(line, "!% "); !strings.HasPrefix(rest, name) {
		return ""
	}
	return meaning.Foreign(line)
}

func panicHint(text string) string {
	switch {
	case strings.Contains(text, "nil pointer dereference"):
		return "A pointer, or a value inside it, is nil: nothing was assigned to it yet."
	case strings.Contains(text, "index out of range"):
		return "Indexes run from 0 to the length minus one."
	case strings.Contains(text, "assignment to entry in nil map"):
		return "The map was declared but not made: use make(map[K]V) or a literal."
	}
	return ""
}

// deadlockHint tells what would have ended the wait.
func deadlockHint(what string) string {
	switch what {
	case "chan receive":
		return "Nobody is left to send to the channel: send from another goroutine (go func() { … }()), or close the channel when there is no more."
	case "chan send":
		return "Nobody is left to receive from the channel: receive in another goroutine, or make a channel with room, as in make(chan int, 1)."
	case "select":
		return "Nobody is left to use any of the channels that select waits for."
	case "select (no cases)":
		return "select {} waits for ever, and no other goroutine has anything left to do."
	case "sync.Mutex.Lock", "sync.RWMutex.Lock", "sync.RWMutex.RLock":
		return "The lock is held and nobody is left to give it back: each Lock needs an Unlock (defer mu.Unlock() is the usual way), and a goroutine cannot lock twice."
	case "sync.WaitGroup.Wait":
		return "Add has counted more than Done: each goroutine that was added must call Done at its end (defer wg.Done())."
	case "sync.Cond.Wait":
		return "Nobody is left to call Signal or Broadcast."
	}
	return ""
}
