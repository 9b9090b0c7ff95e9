package meaning

import (
	"regexp"
	"strings"
)

// Cells can hold a little that is not Go:
//
//	$ ls -l            a cell of shell command lines
//	help strings.Cut   a cell that explains a name
//	list variables     a cell that asks about the notebook
//	forget len, T.M    a cell that takes names back
//	use bonnetbook     a cell that opens the library (see used)
//	//bonnetbook:time  a directive, in the comment lines at the top of a cell
//
// None of it is a Go program otherwise, so that no cell of Go changes its
// meaning by it.

// Kind is what a special cell is.
type Kind int

// The kinds of special cells.
const (
	Shell  Kind = iota // command lines
	Help               // asks about a name, or about the kernel
	List               // asks about the notebook
	Forget             // takes names back
)

// SpecialCell is a cell that is not Go.
type SpecialCell struct {
	Kind Kind
	// Text is the script of a Shell cell, without the dollar signs, or the
	// name that Help asks about; empty: the kernel. Of a List it is "list
	// variables", "list running" or "stop running".
	Text string
	// Names are those that a Forget takes back; none: all there are.
	Names []string
}

var helpLine = regexp.MustCompile(`^help(?:[ \t]+([\pL_][\pL\pN_]*(?:\.[\pL_][\pL\pN_]*)*))?[ \t]*;?$`)

var listLine = regexp.MustCompile(`^(list|stop)[ \t]+(variables|running)[ \t]*;?$`)

var forgetLine = regexp.MustCompile(`^forget[ \t]+([\pL_][\pL\pN_.]*(?:(?:[ \t]*,[ \t]*|[ \t]+)[\pL_][\pL\pN_.]*)*)[ \t]*;?$`)

// forgetEverything stands in place of names.
const forgetEverything = "everything"

// Special reports whether a cell is not Go. A cell that says only help is
// special, too; whoever has a variable of that name looks at it by (help).
func Special(text string) (SpecialCell, bool) {
	_, rest := head(text)
	switch body := strings.TrimSpace(rest); {
	case strings.HasPrefix(body, "$"):
		var lines []string
		for line := range strings.Lines(body) {
			line = strings.TrimRight(line, "\r\n")
			if cut, ok := strings.CutPrefix(line, "$"); ok {
				line = strings.TrimPrefix(cut, " ")
			}
			lines = append(lines, line)
		}
		return SpecialCell{Kind: Shell, Text: strings.Join(lines, "\n")}, true
	default:
		if m := helpLine.FindStringSubmatch(body); m != nil {
			return SpecialCell{Kind: Help, Text: m[1]}, true
		}
		if m := listLine.FindStringSubmatch(body); m != nil && (m[1] == "list" || m[2] == "running") {
			return SpecialCell{Kind: List, Text: m[1] + " " + m[2]}, true
		}
		if m := forgetLine.FindStringSubmatch(body); m != nil {
			names := strings.FieldsFunc(m[1], func(r rune) bool { return r == ',' || r == ' ' || r == '\t' })
			if len(names) == 1 && names[0] == forgetEverything {
				names = nil
			}
			return SpecialCell{Kind: Forget, Names: names}, true
		}
	}
	return SpecialCell{}, false
}

// open reports whether a special cell wants another line.
func (s SpecialCell) open() bool { return s.Kind == Shell && strings.HasSuffix(s.Text, "\\") }

// prefix is what the next line begins with.
func (s SpecialCell) prefix() string { return "  " }

// A Directive is a comment line that asks something of the kernel.
type Directive struct {
	// Name and Argument are the words behind the colon.
	Name, Argument string
	// Line counts from one.
	Line int
	// Late tells that the line does not stand at the top of the cell.
	Late bool
}

// DirectivePrefix begins a directive, in the form that Go's tools have for
// them.
const DirectivePrefix = "//bonnetbook:"

// The names of directives.
const Time = "time" // tell how long the cell took

// Directives returns the directives of a cell.
func Directives(text string) []Directive {
	return directives(text, DirectivePrefix)
}

// Compiler returns a cell's directives to Go's compiler.
func (src *Source) Compiler() []Directive { return directives(string(src.Text), "//go:") }

func directives(text, prefix string) []Directive {
	if !strings.Contains(text, prefix) {
		return nil
	}
	top, _ := head(text)
	var list []Directive
	for _, t := range Tokens([]byte(text), true) {
		words, ok := strings.CutPrefix(t.Text, prefix)
		if !ok || t.Start > 0 && text[t.Start-1] != '\n' {
			continue
		}
		name, argument, _ := strings.Cut(strings.TrimSpace(words), " ")
		list = append(list, Directive{name, strings.TrimSpace(argument), 1 + strings.Count(text[:t.Start], "\n"), t.Start >= len(top)})
	}
	return list
}

// head divides a cell into the blank lines and comment lines at its top, and
// the rest.
func head(text string) (top, rest string) {
	at := 0
	for line := range strings.Lines(text) {
		if trimmed := strings.TrimSpace(line); trimmed != "" && !strings.HasPrefix(trimmed, "//") {
			break
		}
		at += len(line)
	}
	return text[:at], text[at:]
}

// DirectiveProblem says what is wrong with a directive that the kernel does
// not obey.
func DirectiveProblem(d Directive) string {
	if d.Late {
		return DirectivePrefix + d.Name + " stands in the comment lines at the top of a cell"
	}
	return "there is no directive " + DirectivePrefix + d.Name + "; there is " + DirectivePrefix + Time
}
