package interpreter

import (
	"cmp"
	"context"
	"fmt"
	"go/ast"
	"go/scanner"
	"go/token"
	"go/types"
	"reflect"
	"runtime/debug"
	"slices"
	"strings"
	"time"

	"golang.org/x/tools/go/ssa"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/interpreter/vm"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/meaning"
)

func (s *session) execute(ctx context.Context, cell Cell) Result {
	s.run.Lock()
	defer s.run.Unlock()
	defer func() {
		if !strings.HasPrefix(cell.Name, "expression ") {
			s.lastCell = cell.Name
		}
	}()
	pr, err := s.build(cell)
	if err != nil {
		return Result{Err: err, Notices: s.takeLate()}
	}
	r := pr.result
	ended := false // by os.Exit(0): no failure, and nothing to show
	done := 0
	for _, fn := range pr.fns {
		run := s.machine.Start(fn)
		run.SetName(cell.Name)
		if err := s.await(ctx, run, cell); err != nil {
			if exit, ok := err.Value.(vm.ExitPanic); ok && exit.Code == 0 {
				ended = true
				break
			}
			r.Err = err
			if err.Kind == Exit {
				err.Value = nil
			}
			if _, _, total, _ := run.Outcome().OutOfMemory(); total {
				defer debug.FreeOSMemory()
			}
			break
		}
		done++
	}
	if r.Err == nil && !ended {
		s.values(pr)
	}
	s.state.Lock()
	for _, g := range slices.Concat(pr.shown, []*ssa.Global{pr.reached}) {
		if g == nil {
			continue
		}
		s.machine.DropGlobal(g, false)
		s.drop(g.Object())
	}
	s.drop(pr.cell.Object())
	s.machine.Forget(pr.cell)
	s.machine.Empty(pr.cell)
	for i, p := range pr.inits {
		if i >= done { // not initialised: the next cell does it
			s.packages.toInit = append(s.packages.toInit, p)
			continue
		}
		init := p.Func("init")
		s.machine.Forget(init)
		s.machine.Empty(init)
	}
	s.machine.Tidy()
	pr.record.Source.DropSyntax()
	r.Notices = append(r.Notices, s.stale(pr.after)...)
	s.state.Unlock()
	r.Notices = append(r.Notices, s.takeLate()...)
	return *r
}

// build checks a cell and makes it part of the notebook.
func (s *session) build(cell Cell) (pr *program, fail *Error) {
	s.state.Lock()
	defer s.state.Unlock()
	var c *change
	var anew *reload
	defer s.packages.loaded()
	var src *meaning.Source
	defer func() {
		if pr == nil && src != nil {
			src.DropSyntax()
			s.sources.drop(src)
		}
	}()
	defer func() {
		if r := recover(); r != nil { // a fault of ours must not end the notebook
			c.giveUp()
			anew.undo()
			pr, fail = nil, &Error{Kind: Unsupported, Cell: cell.Name, Message: fmt.Sprintf("internal error of the interpreter: %v", r),
				Hint: "This is a fault of the kernel, not of the cell. The stack is on stderr."}
			debug.PrintStack()
		}
	}()
	special, _ := meaning.Special(cell.Source)
	forgets := special.Kind == meaning.Forget
	if forgets {
		cell.Source = ""
	}
	s.sweep()
	var errs scanner.ErrorList
	src, errs = s.place.Parse(cell.Name, cell.Source)
	if len(errs) > 0 {
		return nil, syntaxError(src, errs)
	}
	if err := s.place.refused(src); err != nil {
		return nil, err
	}
	s.cells++
	p, err := s.prepare(src, fmt.Sprintf("cell·%d", s.cells))
	if err != nil {
		return nil, err
	}
	if forgets {
		c, err = s.forget(p, special.Names, len(special.Names) == 0)
	} else {
		anew = s.reload(p.Imports)
		c, err = s.plan(p, anew)
	}
	if err != nil {
		anew.undo()
		return nil, err
	}
	if err := c.checked(); err != nil {
		anew.undo()
		return nil, err
	}
	return c.commit(), nil
}

// checked checks the cell, while no code is made: goroutines left over by
// earlier cells may run.
func (c *change) checked() (err *Error) {
	c.s.machine.Exclude(func() {
		if errs := c.complete(); errs != nil {
			err = c.typeErrors(errs)
		} else if err = cmp.Or(c.overflow(), c.tooLarge(), c.room()); err != nil {
			c.rollback()
		}
	})
	return err
}

// giveUp takes back what a fault of the interpreter has left half done.
func (c *change) giveUp() {
	if c == nil || c.info == nil {
		return
	}
	defer func() { _ = recover() }()
	c.rollback()
	delete(scopeMap(c.s.pkg.Scope()), c.p.fn.Name.Name)
}

// await waits for a run to end, or for the context: then the run is
// interrupted and, if it does not stop in time, abandoned.
func (s *session) await(ctx context.Context, run *vm.Run, cell Cell) *Error {
	select {
	case <-run.Finished():
		return s.outcome(run.Outcome(), cell)
	case <-run.Stopping():
	case <-ctx.Done():
	}
	run.Interrupt()
	timer := time.NewTimer(s.limits.Grace)
	defer timer.Stop()
	select {
	case <-run.Finished():
		o := run.Outcome()
		if o.Panic == nil {
			return nil
		}
		return s.outcome(o, cell)
	case <-timer.C:
		run.Abandon()
		if o, ok := run.Failed(); ok {
			return s.outcome(o, cell)
		}
		return &Error{Kind: Interrupted, Cell: cell.Name, Message: "interrupted",
			Hint: "The cell is inside a compiled function that cannot be stopped. It has been left behind; what it still does has no effect on the notebook's next cells beyond the values it shares with them."}
	}
}

// outcome turns the end of a run into an error.
func (s *session) outcome(o vm.Outcome, cell Cell) *Error {
	return s.worded(o, cell, s.textOf)
}

// worded is outcome with a choice of words for what panics were given.
func (s *session) worded(o vm.Outcome, cell Cell, text func(any) string) *Error {
	if o.Panic == nil && !o.Goexit {
		return nil
	}
	e := &Error{Kind: Panic, Cell: cell.Name, Value: o.Panic}
	s.locate(e, o.Trace)
	switch v := o.Panic.(type) {
	case nil:
		e.Kind, e.Message = Exit, "runtime.Goexit ended the cell"
	case vm.ExitPanic:
		e.Kind, e.Code, e.Message = Exit, v.Code, fmt.Sprintf("exit status %d", v.Code)
	default:
		e.Message = s.describe(e, o, text)
	}
	if o.Goroutine {
		e.Message += " (in a goroutine)"
	}
	return e
}

// failing is what the library panics with where an error ends a cell. The
// method is never called: it may be a cell's own.
type failing interface {
	error
	StopsCell()
}

func (s *session) describe(e *Error, o vm.Outcome, word func(any) string) string {
	if o.Interrupted() {
		e.Kind, e.Value = Interrupted, nil
		return "interrupted"
	}
	if o.StackOverflow() {
		e.Kind, e.Value = LimitExceeded, nil
		e.Hint = "A function calls itself without end, or nearly."
		return "stack overflow: calls are nested too deeply"
	}
	if what, ok := o.Deadlock(); ok {
		e.Kind, e.Value, e.Hint = Deadlock, nil, deadlockHint(what)
		return fmt.Sprintf("fatal error: all goroutines are asleep - deadlock! (%s)", what)
	}
	if want, limit, total, ok := o.OutOfMemory(); ok {
		e.Kind, e.Value = LimitExceeded, nil
		if total {
			e.Hint = "What the cell had stored in variables is still there. Set the environment variable " + MemoryVariable + " to allow more, for example to 8GB."
			return fmt.Sprintf("out of memory: the cell would take the notebook to %s, %s are allowed", bytesText(want), bytesText(limit))
		}
		return fmt.Sprintf("out of memory: %s wanted at once, %s are allowed", bytesText(want), bytesText(limit))
	}
	if msg, pos, ok := o.Unsupported(); ok {
		e.Kind, e.Value = Unsupported, nil
		if e.Line == 0 {
			s.locate(e, []vm.Place{{Pos: pos}})
		}
		return msg
	}
	text := word(o.Panic)
	if _, ok := o.Panic.(failing); ok { // the word panic would only frighten
		e.Kind = Failed
		return text
	}
	if strings.HasPrefix(text, "fatal error: ") {
		return text
	}
	e.Hint = panicHint(text)
	return "panic: " + text
}

func bytesText(n uint64) string {
	const unit = 1 << 10
	if n < unit {
		return fmt.Sprintf("%d B", n)
	}
	f, names := float64(n)/unit, "KMGTPE"
	i := 0
	for f >= unit && i < len(names)-1 {
		f /= unit
		i++
	}
	return fmt.Sprintf("%.1f %ciB", f, names[i])
}

// locate fills in where an error happened and how it came there.
func (s *session) locate(e *Error, trace []vm.Place) {
	left := 0
	for _, p := range trace {
		left += p.Left
		call := s.callAt(functionName(p.Function), p.Pos)
		if call.Line == 0 {
			continue
		}
		call.Left, left = left, 0
		if e.Line == 0 {
			e.Cell, e.Line, e.Column, e.SourceLine = call.Cell, call.Line, call.Column, call.SourceLine
		}
		e.Calls = append(e.Calls, call)
	}
}

// callAt describes a place in a cell; its line is 0 where pos is in none.
func (s *session) callAt(what string, pos token.Pos) Call {
	src, off := s.place.Find(pos)
	if src == nil {
		return Call{Function: what}
	}
	line, col := lineColumn(src.Text, off)
	return Call{Function: what, Cell: src.Name, Line: line, Column: col, SourceLine: sourceLine(src.Text, line)}
}

// functionName words a function's name for a chain of calls.
func functionName(name string) string {
	name = strings.TrimPrefix(name, "main.")
	if rest, ok := strings.CutPrefix(name, "cell·"); ok {
		if _, fn, ok := strings.Cut(rest, "$"); ok {
			return "func literal " + fn
		}
		return "the cell"
	}
	return name
}

// values reads the shown variables.
func (s *session) values(pr *program) {
	if pr.reached == nil {
		return
	}
	if v, err := s.machine.Global(pr.reached); err != nil || !v.Bool() {
		return
	}
	for i, g := range pr.shown {
		v, err := s.machine.Global(g)
		if err != nil {
			continue
		}
		t := g.Type().Underlying().(*types.Pointer).Elem()
		if v.Kind() == reflect.Interface {
			v = v.Elem()
		}
		v = s.machine.Snapshot(v)
		e, of := pr.show[min(i, len(pr.show)-1)], 0
		if len(pr.shown) > len(pr.show) {
			of = i + 1
		}
		if i > 0 && i == len(pr.shown)-1 && meaning.IsError(t) && !v.IsValid() {
			pr.result.wentWell = true
			continue
		}
		pr.result.Values = append(pr.result.Values, Value{Value: v, Type: t, Text: s.place.TextOf(e), From: s.origin(e, of)})
	}
}

// origin tells where a shown value comes from; result is its number among the
// results of a call that has several.
func (s *session) origin(e ast.Expr, result int) Call {
	what := "value of " + s.place.TextOf(e)
	if call, ok := ast.Unparen(e).(*ast.CallExpr); ok {
		args := ""
		if len(call.Args) > 0 {
			args = "…"
		}
		what = fmt.Sprintf("%sresult of %s(%s)", ordinal(result), s.place.TextOf(call.Fun), args)
	}
	return s.callAt(what, e.Pos())
}

// ordinal words a place in a row, with a space behind it; 0 is none.
func ordinal(n int) string {
	words := [...]string{"", "first ", "second ", "third ", "fourth ", "fifth ", "sixth ", "seventh ", "eighth ", "ninth "}
	if n < len(words) {
		return words[n]
	}
	return fmt.Sprintf("%dth ", n)
}

// goroutineDied notes the death of a goroutine whose cell has ended.
func (s *session) goroutineDied(o vm.Outcome) {
	e := s.outcome(o, Cell{})
	if e == nil {
		return
	}
	s.lateMu.Lock()
	defer s.lateMu.Unlock()
	s.late = append(s.late, "a goroutine of an earlier cell died: "+e.Error())
}

func (s *session) takeLate() []string {
	s.lateMu.Lock()
	defer s.lateMu.Unlock()
	late := s.late
	s.late = nil
	return late
}
