// Package oracle edits and re-runs the cells of invented notebooks, in any
// order, and compares what is there at the end with a fresh session that runs
// the cells, as they then are, from top to bottom.
//
// A notebook has constants, variables, types with methods, functions, generic
// ones of both, function literals and what holds them, interfaces, embedded
// types, aliases, imports and goroutines, which mention one another. An answer
// that differs has to rest on something that a notice has named as old since
// its cell was run. After all cells have been run once more, from top to
// bottom, nothing may differ at all.
//
// BONNETBOOK_ORACLE_SEED starts at another sequence, BONNETBOOK_ORACLE_COUNT
// runs more of them:
//
//	BONNETBOOK_ORACLE_SEED=4711 BONNETBOOK_ORACLE_COUNT=1 go test -v ./kernelsetup/internal/interpreter/oracle
package oracle

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"regexp"
	"runtime"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/interpreter"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols"
)

const prelude = "import \"fmt\"\ntype stringer string\nfunc (s stringer) String() string { return string(s) }\nquit := make(chan bool)"

// session is a notebook being run.
type session struct {
	e    *interpreter.Interpreter
	runs int
	log  strings.Builder
	// said are the notices about what is old, by the name that they are
	// about, for as long as that name's cell is not run again.
	said map[string]string
}

func open() (*session, error) {
	e, err := interpreter.New(interpreter.Options{Library: symbols.Default()})
	if err != nil {
		return nil, err
	}
	s := &session{e: e, said: map[string]string{}}
	_, err = s.run(prelude)
	return s, err
}

func (s *session) close() { s.run("close(quit)") }

// run executes a cell and returns its values as text.
func (s *session) run(text string) (string, error) {
	s.runs++
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
	defer cancel()
	r := s.e.Execute(ctx, interpreter.Cell{Name: fmt.Sprintf("cell %d", s.runs), Source: text})
	fmt.Fprintf(&s.log, "--- cell %d\n%s\n", s.runs, text)
	for _, n := range r.Notices {
		fmt.Fprintf(&s.log, "  NOTICE %s\n", n)
		if m := about.FindStringSubmatch(n); m != nil {
			for _, name := range strings.Split(m[1]+m[2]+m[3], ", ") {
				s.said[name] = n
			}
		}
	}
	if r.Err != nil {
		fmt.Fprintf(&s.log, "  ERROR %s\n", r.Err)
		return "", r.Err
	}
	var out []string
	for _, v := range r.Values {
		out = append(out, fmt.Sprint(v.Value))
	}
	if len(out) > 0 {
		fmt.Fprintf(&s.log, "  = %s\n", strings.Join(out, " "))
	}
	return strings.Join(out, " "), nil
}

// about finds the name that a notice is about.
var about = regexp.MustCompile(`^(?:variable|function|method|type|constant) ([\w., ]+) (?:is gone|still|no longer compiles|of cell \d+ is forgotten)|^a goroutine is still in (?:function|method) ([\w.]+)|^type (\w+) keeps`)

// runSlot runs a slot's cell; what was said of its names is settled then.
func (s *session) runSlot(o *slot) error {
	before := s.said
	s.said = map[string]string{}
	_, err := s.run(o.text())
	now := s.said
	s.said = before
	if err == nil {
		for _, n := range o.names() {
			delete(s.said, n)
		}
	}
	for n, text := range now {
		s.said[n] = text
	}
	return err
}

// names are all names that a slot declares.
func (o *slot) names() []string {
	switch o.kind {
	case structType:
		return []string{o.own(), o.own() + ".M", o.own() + ".Other"}
	case genericType:
		return []string{o.own(), o.own() + ".M", o.own() + ".Get", o.own() + ".Set"}
	case stringMethod:
		return []string{o.own() + ".String"}
	case embedding:
		return []string{o.own(), o.own() + ".Own"}
	case server:
		return []string{fmt.Sprint("ask", o.n), fmt.Sprint("ans", o.n), fmt.Sprint("work", o.n)}
	case constraint:
		return []string{o.own(), "with" + o.own()}
	case pair:
		return []string{o.own(), "Z" + o.own(), "q" + o.own(), "u" + o.own()}
	}
	return []string{o.own()}
}

// excused returns the notice on which it rests that a slot's answer differs.
func (s *session) excused(o *slot, probe string) string {
	return s.excuse(o, strings.Contains(probe, "fmt.Sprint("), map[*slot]bool{})
}

// excuse is excused for what the slot rests on: what it mentions and, where it
// prints a value, what the method String of its type mentions.
func (s *session) excuse(o *slot, prints bool, printers map[*slot]bool) string {
	names := o.names()
	if o.kind == structType { // of another cell
		names = append(names, o.own()+".String")
	}
	for _, n := range names {
		if s.said[n] != "" {
			return s.said[n]
		}
	}
	for _, p := range o.on {
		if why := s.excuse(p, false, printers); why != "" {
			return why
		}
	}
	if t := o.printed(prints); t != nil && t.printer != nil && !printers[t.printer] {
		printers[t.printer] = true
		return s.excuse(t.printer, false, printers)
	}
	return ""
}

// verdict is what became of one sequence.
type verdict struct {
	fail     string // why it fails, with the history
	probes   int
	excused  int // probes that differ and were announced
	needless int // announced as old, and equal all the same
	example  string
	invalid  bool // a cell of the final notebook does not compile
}

// sequence runs one sequence of edits.
func sequence(seed uint64) (v verdict) {
	r := rand.New(rand.NewPCG(seed, 11))
	list := invent(r)
	a, err := open()
	if err != nil {
		return verdict{fail: err.Error()}
	}
	defer a.close()
	failed := func(format string, args ...any) verdict {
		v.fail = fmt.Sprintf("seed %d: %s\n%s", seed, fmt.Sprintf(format, args...), a.log.String())
		return v
	}
	for _, o := range list {
		if err := a.runSlot(o); err != nil {
			return failed("the first run of %s fails: %v", o.own(), err)
		}
	}
	for range 2 + r.IntN(12) {
		o := list[r.IntN(len(list))]
		switch r.IntN(10) {
		case 0: // look at something
			p := o.probes()
			a.run(p[r.IntN(len(p))])
		case 1: // a cell that fails changes nothing
			text := o.text()
			o.version++
			a.run(o.text() + "\nnowhere" + strconv.Itoa(o.n))
			o.version--
			_ = text
		case 2: // the same once more
			a.runSlot(o)
		case 3: // a name is forgotten, and comes back
			if o.kind != stringMethod && o.kind != server && o.kind != importName {
				a.run("forget " + o.own())
			}
			a.runSlot(o)
		default:
			o.version++
			if r.IntN(2) == 0 {
				o.shape = r.IntN(len(forms[o.kind]))
			}
			a.runSlot(o)
		}
	}
	b, err := open()
	if err != nil {
		return failed("%v", err)
	}
	defer b.close()
	for _, o := range list {
		if _, err := b.run(o.text()); err != nil {
			v.invalid = true
			return failed("the final notebook does not compile: %s: %v", o.own(), err)
		}
	}
	// Now what is old is announced.
	all := probesOf(list)
	_, _, same := compare(a, b, all)
	for _, o := range list {
		old := false
		for _, p := range o.probes() {
			v.probes++
			if same {
				continue
			}
			got, want, same := compare(a, b, p)
			if same {
				continue
			}
			if a.excused(o, p) == "" {
				return failed("%s is %s, in a fresh session %s", p, got, want)
			}
			v.excused++
			old = true
		}
		for _, n := range o.names() {
			if text := a.said[n]; text != "" && !old && o.kind != server {
				v.needless++
				v.example = fmt.Sprintf("seed %d: %s", seed, text)
			}
		}
	}
	for _, o := range list {
		if err := a.runSlot(o); err != nil {
			return failed("run again from top to bottom, %s fails: %v", o.own(), err)
		}
	}
	_, _, same = compare(a, b, all)
	v.probes += strings.Count(all, ",\n") + 1
	if same {
		return v
	}
	for _, o := range list {
		for _, p := range o.probes() {
			got, want, same := compare(a, b, p)
			if !same && !strings.Contains(a.excused(o, p), "keeps method") {
				return failed("after all cells have been run again, %s is %s, in a fresh session %s", p, got, want)
			}
		}
	}
	return v
}

// probesOf are the probes of all slots, as one list of expressions.
func probesOf(list []*slot) string {
	var all []string
	for _, o := range list {
		all = append(all, o.probes()...)
	}
	return strings.Join(all, ",\n")
}

func compare(a, b *session, probe string) (got, want string, same bool) {
	x, errA := a.run(probe)
	y, errB := b.run(probe)
	if errA != nil {
		x = "error: " + message(errA)
	}
	if errB != nil {
		y = "error: " + message(errB)
	}
	return x, y, x == y
}

func message(err error) string {
	if e, ok := err.(*interpreter.Error); ok {
		return e.Message
	}
	return err.Error()
}

func number(name string, otherwise int) int {
	if n, err := strconv.Atoi(os.Getenv(name)); err == nil {
		return n
	}
	return otherwise
}

// sum adds up verdicts.
type sum struct {
	sequences, probes, excused, needless int
	fails                                []string
	example                              string
}

// Most of the time goes by collecting garbage: every interpreter knows the types of
// the standard library.
func init() { debug.SetGCPercent(1000) }

func sequences(first, count int, report func(done int)) (total sum) {
	var mu sync.Mutex
	var wg sync.WaitGroup
	next := first
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			for {
				mu.Lock()
				seed := next
				next++
				mu.Unlock()
				if seed >= first+count {
					return
				}
				v := sequence(uint64(seed))
				mu.Lock()
				total.sequences++
				total.probes += v.probes
				total.excused += v.excused
				total.needless += v.needless
				if v.example != "" {
					total.example = v.example
				}
				if v.fail != "" {
					total.fails = append(total.fails, v.fail)
				}
				if report != nil {
					report(total.sequences)
				}
				mu.Unlock()
			}
		})
	}
	wg.Wait()
	slices.Sort(total.fails)
	return total
}

func TestEditsAndRerunsAgreeWithAFreshSession(t *testing.T) {
	total := sequences(number("BONNETBOOK_ORACLE_SEED", 1), number("BONNETBOOK_ORACLE_COUNT", 150), nil)
	for i, f := range total.fails {
		if i < number("BONNETBOOK_ORACLE_SHOW", 3) {
			t.Error(f)
		}
	}
	t.Logf("%d sequences, %d failed, %d answers, %d of them old and announced; %d needless notices (%s)",
		total.sequences, len(total.fails), total.probes, total.excused, total.needless, total.example)
}

// What prints a value rests on what the method String of its type mentions; a
// call of another method does not.
func TestPrintingRestsOnTheMethodString(t *testing.T) {
	k := &slot{kind: captured, n: 1}
	typ := &slot{kind: structType, n: 2}
	k.on = []*slot{{kind: structType, n: 5}}
	typ.printer = &slot{kind: stringMethod, n: 3, on: []*slot{typ, k}}
	use := &slot{kind: taking, n: 4, on: []*slot{typ}}
	s := &session{said: map[string]string{}}
	if why := s.excused(typ, "fmt.Sprint(T2{A: 1})"); why != "" {
		t.Errorf("nothing is old: %q", why)
	}
	s.said["cap1"] = "variable cap1 still uses constant K as it was"
	for probe, excused := range map[string]bool{"fmt.Sprint(T2{A: 1})": true, "T2{}.M()": false} {
		if why := s.excused(typ, probe); (why != "") != excused {
			t.Errorf("%s: %q", probe, why)
		}
	}
	if s.excused(use, "fmt.Sprint(use4(T2{}))") == "" {
		t.Error("a function that prints its argument rests on nothing")
	}
}
