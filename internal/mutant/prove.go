package mutant

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"sync/atomic"
	"testing"
	"time"
)

// F is what a fuzz target needs of [testing.F].
type F interface {
	testing.TB
	Add(args ...any)
	Fuzz(target any)
}

// limits say when enough has been tried.
type limits struct {
	executions uint64        // at least
	length     time.Duration // at least
	most       time.Duration // at most, whatever is wanted; 0: no limit
	hang       time.Duration // one input that takes longer hangs
	seed, from uint64        // from is the number of the first execution
	record     string        // a file for each input before it is tried; empty for none
}

// fromEnvironment reads the limits from FUZZ_EXECUTIONS (10000), FUZZ_TIME
// (0s), FUZZ_MOST (no limit), FUZZ_HANG (1m), FUZZ_SEED (1), FUZZ_FROM (0) and
// FUZZ_RECORD.
func fromEnvironment(t *testing.T) limits {
	number := func(name string, otherwise uint64) uint64 {
		text := os.Getenv(name)
		if text == "" {
			return otherwise
		}
		n, err := strconv.ParseUint(text, 10, 64)
		if err != nil {
			t.Fatalf("%s is %q, not a whole number", name, text)
		}
		return n
	}
	length := func(name string, otherwise time.Duration) time.Duration {
		text := os.Getenv(name)
		if text == "" {
			return otherwise
		}
		d, err := time.ParseDuration(text)
		if err != nil {
			t.Fatalf("%s is %q, not a length of time such as 30m", name, text)
		}
		return d
	}
	return limits{
		executions: number("FUZZ_EXECUTIONS", 10_000), length: length("FUZZ_TIME", 0), most: length("FUZZ_MOST", 0), hang: length("FUZZ_HANG", time.Minute),
		seed: number("FUZZ_SEED", 1), from: number("FUZZ_FROM", 0), record: os.Getenv("FUZZ_RECORD"),
	}
}

// Formats runs each target, a sub-test by its name, until both the executions
// and the time that the environment asks for are reached. It begins with what
// the target adds, what lies in testdata/fuzz, and what the go command found
// before (the folder FUZZ_CORPUS). It prints a line that begins with "fuzzed" a
// target.
//
// An input that fails, panics or hangs is written below testdata/fuzz, where
// `go test` tries it again, and ends the target.
func Formats(t *testing.T, targets map[string]func(F)) { prove(t, targets, largestFile) }

// Values does the same for parsers of single values, such as a number or a
// date: their inputs are short but for a few.
func Values(t *testing.T, targets map[string]func(F)) { prove(t, targets, largestValue) }

func prove(t *testing.T, targets map[string]func(F), largest int) {
	l := fromEnvironment(t)
	for _, name := range slices.Sorted(maps.Keys(targets)) {
		t.Run(name, func(t *testing.T) {
			targets[name](&prover{T: t, name: name, limits: l, largest: largest})
		})
	}
}

// prover is the F of one target.
type prover struct {
	*testing.T
	name    string
	limits  limits
	largest int // bytes of a text, but for a few
	pool    []input
}

// input is one value an argument.
type input []any

// Add keeps an input to begin with.
func (p *prover) Add(args ...any) { p.pool = append(p.pool, args) }

// outcome is how the tries of a target ended.
type outcome struct {
	executions uint64
	bad        input // nil where none is
	why        string
}

// Fuzz runs the target.
func (p *prover) Fuzz(target any) {
	p.Helper()
	p.readCorpus(filepath.Join("testdata", "fuzz", p.name))
	if corpus := os.Getenv("FUZZ_CORPUS"); corpus != "" {
		p.readCorpus(filepath.Join(corpus, p.name))
	}
	try, err := caller(p.T, target)
	if err != nil {
		p.Fatal(err)
	}
	began := time.Now()
	var now worker
	ended := make(chan outcome, 1)
	go now.run(p, try, ended)
	got, hangs := p.watch(&now, ended)
	took := time.Since(began)
	fmt.Printf("fuzzed\t%s\t%d\t%.0f\t%d\t%d\n", p.name, got.executions, took.Seconds(), p.limits.seed, len(p.pool))
	if got.bad != nil {
		p.Errorf("%s\nthe input is kept: go test -run '^%s$/^%s$'", got.why, p.name, p.keep(got.bad))
	}
	if hangs { // nothing can end it but the end of the process
		stacks := make([]byte, 1<<20)
		p.Fatalf("all goroutines:\n%s", stacks[:runtime.Stack(stacks, true)])
	}
}

// watch waits for the worker's end, or for an input that does not end.
func (p *prover) watch(now *worker, ended chan outcome) (got outcome, hangs bool) {
	// A process that gets no processor for a while has no input that hangs: what
	// counts is how often it was looked, and each look gives the worker its turn.
	look := min(p.limits.hang/20, 250*time.Millisecond)
	tick := time.NewTicker(look)
	defer tick.Stop()
	end, most := time.After(p.limits.length), (<-chan time.Time)(nil)
	if p.limits.most > 0 {
		most = time.After(p.limits.most)
	}
	at, looks := now.number.Load(), time.Duration(0)
	told := time.Now()
	for {
		select {
		case got := <-ended:
			return got, false
		case <-end:
			now.longEnough.Store(true)
		case <-most:
			now.over.Store(true)
		case <-tick.C:
			looks++
		}
		if n := now.number.Load(); n != at {
			at, looks = n, 0
		} else if looks*look > p.limits.hang && n > 0 {
			return outcome{n, *now.input.Load(), fmt.Sprintf("execution %d runs for more than %v", p.limits.from+n-1, p.limits.hang)}, true
		}
		if time.Since(told) > 10*time.Second {
			told = time.Now()
			fmt.Printf("tried\t%s\t%d\n", p.name, p.limits.from+max(at, 1)-1)
		}
	}
}

// worker tries one input after the other.
type worker struct {
	number     atomic.Uint64 // executions that have begun
	input      atomic.Pointer[input]
	longEnough atomic.Bool
	over       atomic.Bool // ends whatever is wanted
}

// run sends how it ended.
func (w *worker) run(p *prover, try func(input), ended chan<- outcome) {
	m := newMutator(p.pool, p.largest)
	l := p.limits
	whole := false
	defer func() {
		out := outcome{executions: w.number.Load()}
		switch r := recover(); {
		case r != nil:
			stack := make([]byte, 64<<10)
			out.bad, out.why = *w.input.Load(), fmt.Sprintf("panic: %v\n%s", r, stack[:runtime.Stack(stack, false)])
		case !whole: // the target called FailNow, which ends the goroutine
			out.bad, out.why = *w.input.Load(), "the target failed"
		}
		ended <- out
	}()
	for n := uint64(0); (n < l.executions || !w.longEnough.Load()) && !w.over.Load(); n++ {
		in := m.input(l.seed, l.from+n)
		if l.record != "" {
			if err := os.WriteFile(l.record, encode(in), 0o644); err != nil {
				panic(err)
			}
		}
		w.input.Store(&in)
		w.number.Store(n + 1)
		try(in)
		if p.Failed() {
			return
		}
	}
	whole = true
}
