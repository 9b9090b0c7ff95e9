package stdstreams

import (
	"strings"
	"sync"
	"testing"
	"time"
)

// The last words of a process that gives up are not handed on, however long
// its end takes, and what it wrote before is.
func TestLastWordsWaitForTheEnd(t *testing.T) {
	var mu sync.Mutex
	got := ""
	said := func() string {
		mu.Lock()
		defer mu.Unlock()
		return got
	}
	o, ends, err := Open(func(_ Name, text string) {
		mu.Lock()
		defer mu.Unlock()
		got += text
	})
	if err != nil {
		t.Fatal(err)
	}
	o.Dying()
	ends[1].WriteString("before\nfatal error: out of breath\n\ngoroutine 1 [running]:\n")
	for start := time.Now(); !strings.Contains(said(), "before\n"); time.Sleep(time.Millisecond) {
		if time.Since(start) > time.Minute {
			t.Fatal("nothing was handed on")
		}
	}
	time.Sleep(hold + hold/4)
	ends[1].WriteString("main.f()\n")
	for _, e := range ends {
		e.Close()
	}
	if last := o.Close("fatal error: out of breath"); !strings.HasPrefix(last, "fatal error") || !strings.HasSuffix(last, "main.f()\n") || said() != "before\n" {
		t.Errorf("handed on %q, last words %q", said(), last)
	}
}
