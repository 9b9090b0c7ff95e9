package interpreter

import (
	"fmt"
	"strings"
)

// Kind says what sort of failure ended a cell.
type Kind int

const (
	// SyntaxError: the cell does not parse.
	SyntaxError Kind = iota
	// TypeError: the cell does not type-check; nothing of it ran.
	TypeError
	// ImportError: a package is not available.
	ImportError
	// Panic: the cell panicked at run time.
	Panic
	// Exit: the cell called os.Exit, log.Fatal or the like.
	Exit
	// Interrupted: the context was cancelled.
	Interrupted
	// Deadlock: every goroutine of the cell waits for another.
	Deadlock
	// LimitExceeded: recursion or memory beyond the limits.
	LimitExceeded
	// Unsupported: the cell needs something that cannot be run.
	Unsupported
	// Failed: the library ended the cell with an error, which stands for itself.
	Failed
)

var kindNames = [...]string{"syntax error", "type error", "import error", "panic", "exit", "interrupted", "deadlock", "limit exceeded", "unsupported", "error"}

// String returns the kind's name in lower case.
func (k Kind) String() string { return kindNames[k] }

// Error is why a cell failed, in the terms of its source.
type Error struct {
	Kind Kind
	// Cell, Line and Column say where, counted from 1; Line is 0 where no
	// place is known. Column counts bytes.
	Cell         string
	Line, Column int
	// Message is Go's own wording, without position.
	Message string
	// Hint is a sentence for a beginner, or empty.
	Hint string
	// SourceLine is the text of the line at fault.
	SourceLine string
	// Calls is the chain of calls that led there, innermost first, for
	// failures at run time.
	Calls []Call
	// More holds further errors of the same check.
	More []*Error
	// Value is what was passed to panic.
	Value any
	// Code is the exit status for Kind Exit.
	Code int
}

// Call is one step of a chain of calls.
type Call struct {
	// Function is the function's name as Go prints it.
	Function string
	// Cell, Line and Column say where in the function.
	Cell         string
	Line, Column int
	// SourceLine is the text of that line.
	SourceLine string
	// Left counts the calls between the one before and this one that are not
	// listed, for there were too many.
	Left int
}

// Error returns the message with its place on one line.
func (e *Error) Error() string {
	if e.Line == 0 {
		return e.Message
	}
	return fmt.Sprintf("%s:%d:%d: %s", e.Cell, e.Line, e.Column, e.Message)
}

// Traceback returns the error as shown to the user: message, place, source
// line with a caret, chain of calls and hint.
func (e *Error) Traceback() string {
	var b strings.Builder
	e.write(&b)
	for _, m := range e.More {
		b.WriteString("\n")
		m.write(&b)
	}
	return strings.TrimRight(b.String(), "\n")
}

func (e *Error) write(b *strings.Builder) {
	b.WriteString(e.Message)
	b.WriteString("\n")
	if e.Line > 0 {
		fmt.Fprintf(b, "  %s, line %d\n", e.Cell, e.Line)
		writeSource(b, e.SourceLine, e.Line, e.Column)
	}
	writeCalls(b, e)
	if e.Hint != "" {
		fmt.Fprintf(b, "Hint: %s\n", e.Hint)
	}
}

func writeSource(b *strings.Builder, text string, line, column int) {
	if text == "" {
		return
	}
	fmt.Fprintf(b, "%6d | %s\n", line, text)
	if column < 1 || column > len(text)+1 {
		return
	}
	b.WriteString("       | ")
	for _, r := range text[:column-1] {
		if r == '\t' {
			b.WriteByte('\t')
		} else {
			b.WriteByte(' ')
		}
	}
	b.WriteString("^\n")
}
