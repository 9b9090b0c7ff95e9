package supervisor

import (
	"fmt"
	"os"
	"regexp"
	"strings"
)

// explanation is why a process died, for a person.
type explanation struct {
	what, because, do string
	where             string // the compiled function it died in
}

func (e explanation) text() string {
	b := "the process that ran the cells died: " + e.what + "\n"
	if e.where != "" {
		b += "  in " + e.where + "\n"
	}
	if e.because != "" {
		b += e.because + "\n"
	}
	if e.do != "" {
		b += "Hint: " + e.do + "\n"
	}
	return b
}

// reason is a message of the run time and what it means.
type reason struct{ words, because, do string }

const outOfMemory = "Compiled code asked for more memory than there is or than is allowed; the run time of Go can't refuse that to it and go on."

var moreMemory = "work with less at a time, or allow more by the environment variable BONNETBOOK_MEMORY, for example 8GB."

// reasons are looked through in this order.
var reasons = []reason{
	{"concurrent map", "Two goroutines used one map at the same time, one of them writing. Go ends the whole process then, since the map is damaged.",
		"guard the map by a sync.Mutex, or let one goroutine own it and the others send to it. Types that are maps, such as url.Values and http.Header, need that too."},
	{"runtime: out of memory", outOfMemory, moreMemory},
	{"cannot allocate memory", outOfMemory, moreMemory},
	{"out of memory", outOfMemory, moreMemory},
	{"stack exceeds", "A function in compiled code called itself without end, or nearly: the stack grew beyond what Go allows.",
		"look for a method such as String, Error or MarshalJSON that prints or encodes its own value, or for data that contain themselves."},
	{"stack overflow", "A function in compiled code called itself without end, or nearly: the stack grew beyond what Go allows.",
		"look for a method such as String, Error or MarshalJSON that prints or encodes its own value, or for data that contain themselves."},
	{"go of nil func value", "A function was to run on a goroutine of its own and was nil.", "look for a nil function handed to compiled code, as in time.AfterFunc(d, nil)."},
	{"unlock of unlocked", "A lock was unlocked that nobody held.", "call Unlock once for each Lock, best by defer right behind it. A sync.Cond is to be waited for with its lock held."},
	{"Unlock of unlocked", "A lock was unlocked that nobody held.", "call Unlock once for each Lock, best by defer right behind it. A sync.Cond is to be waited for with its lock held."},
	{"thread exhaustion", "More threads were wanted than Go allows: thousands of goroutines waited inside calls of the operating system.", "let fewer goroutines do such calls at the same time."},
	{"failed to create new OS thread", "The operating system refused one more thread.", "let fewer goroutines do calls of the operating system at the same time, or look at ulimit -u."},
	{"found bad pointer", "A pointer leads nowhere.", "look at what is done with package unsafe, and for data that two goroutines change without a lock."},
	{"unexpected fault address", "Memory was used that is not there.", "look at what is done with package unsafe, with memory-mapped files, and for data that two goroutines change without a lock."},
	{"SIGSEGV", "Memory was used that is not there.", "look for a nil function or pointer handed to compiled code, such as time.AfterFunc(d, nil), at what is done with package unsafe, and for data that two goroutines change without a lock."},
	{"SIGBUS", "Memory was used that is not there.", "look at memory-mapped files that became shorter, and at package unsafe."},
	{"all goroutines are asleep", "Every goroutine waited for another.", ""},
	{"panic: ", "The panic was on a goroutine that compiled code had started, such as a timer's, a server's or a finalizer's: no cell could recover from it.",
		"recover inside the function that is handed to compiled code, or find out why it panics."},
}

// explain words the end of a process; why is what the supervisor killed it
// for, words what its run time wrote last.
func explain(state *os.ProcessState, why, words string) explanation {
	e := explanation{what: how(state)}
	if why != "" {
		e.what = why
		if strings.Contains(why, "memory") {
			e.because, e.do = "More memory was taken than is allowed, inside compiled code or faster than cells are watched, so that it was ended from outside.", moreMemory
		}
		return e
	}
	if line := telling(words); line != "" {
		e.what = line
		for _, r := range reasons {
			if strings.Contains(words, r.words) {
				e.because, e.do = r.because, r.do
				break
			}
		}
		e.where = place(words)
		if e.because == "" {
			e.because = "The run time of Go gave up."
		}
		return e
	}
	e.because, e.do = silent(state)
	return e
}

// how words a process's end as the operating system tells it.
func how(state *os.ProcessState) string {
	if state == nil {
		return "it ended"
	}
	if name, ok := signalled(state); ok {
		return "it was ended by the signal " + name
	}
	return fmt.Sprintf("it ended itself with exit status %d", state.ExitCode())
}

// silent explains an end without last words.
func silent(state *os.ProcessState) (because, do string) {
	if name, ok := signalled(state); ok {
		if strings.Contains(name, "SIGKILL") {
			return "The operating system ends a process so when memory runs out; or somebody did it, perhaps the cell itself.",
				"if memory may have run out, " + moreMemory
		}
		return "Somebody sent it that signal, perhaps the cell itself.", ""
	}
	return "os.Exit in a cell ends only the cell; here compiled code called it.",
		"a flag set with flag.ExitOnError does so on wrong arguments, as does testing.Main: use flag.NewFlagSet with flag.ContinueOnError."
}

// telling is the line of the last words that says most, empty where there are
// none.
func telling(words string) string {
	lines := strings.Split(words, "\n")
	for _, begin := range []string{"fatal error: ", "panic: ", "runtime: ", "unexpected fault address", "SIG", "[signal "} {
		for _, line := range lines {
			if strings.HasPrefix(line, begin) {
				return cut(strings.TrimSpace(line), 300)
			}
		}
	}
	return ""
}

func cut(s string, n int) string {
	if len(s) > n {
		return strings.ToValidUTF8(s[:n], "") + "…"
	}
	return s
}

// called is a line of a stack that names a function.
var called = regexp.MustCompile(`^([\w./·-]+(?:\.\(\*?[\w\[\]./…]+\))?[\w./\[\]…·-]*)\(.*\)$`)

// place is the function of a library that the first goroutine listed was in.
func place(words string) string {
	_, stack, ok := strings.Cut(words, "\ngoroutine ")
	if !ok {
		return ""
	}
	stack, _, _ = strings.Cut(stack, "\n\n")
	if head, _, _ := strings.Cut(stack, "\n"); !strings.Contains(head, "[running") {
		return ""
	}
	for _, line := range strings.Split(stack, "\n") {
		m := called.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		name := m[1]
		switch {
		case strings.HasPrefix(name, "runtime."), strings.HasPrefix(name, "runtime/"), name == "panic", strings.HasPrefix(name, "internal/runtime/"):
			continue
		case strings.Contains(name, "/kernelsetup/"):
			return ""
		}
		return name
	}
	return ""
}
