package interpreter

import (
	"os"
	"strconv"
	"testing"
	"time"
)

// Goroutines that come and go in great number are no deadlock, also on a
// machine that has other things to do. BONNETBOOK_SPAWNS sets how many.
func TestManyGoroutinesAreNoDeadlock(t *testing.T) {
	spawns := 60_000
	if n, err := strconv.Atoi(os.Getenv("BONNETBOOK_SPAWNS")); err == nil {
		spawns = n
	}
	nb := newNotebook(t)
	nb.ok("import (\"sync\"; \"time\")\nvar _ = time.Now\nvar _ sync.Mutex\nspawns := " + strconv.Itoa(spawns))
	stop := make(chan struct{})
	defer close(stop)
	for range 3 {
		go func() {
			for {
				select {
				case <-stop:
					return
				default:
				}
			}
		}()
	}
	for _, src := range []string{
		"n := 0\nfor i := 0; i < spawns; i++ { c := make(chan int, 1); go func() { c <- 1 }(); n += <-c }\nn == spawns",
		"n := 0\nfor i := 0; i < spawns; i++ { c := make(chan int); go func() { c <- 1 }(); n += <-c }\nn == spawns",
		"n := 0\nvar mu sync.Mutex\nfor i := 0; i < spawns/10; i++ { var wg sync.WaitGroup; wg.Add(2); for range 2 { go func() { mu.Lock(); n++; mu.Unlock(); wg.Done() }() }; wg.Wait() }\nn == spawns/10*2",
		"n := 0\nfor i := 0; i < spawns/10; i++ { c, d := make(chan int), make(chan bool); go func() { select { case c <- 1: case <-d: } }(); select { case x := <-c: n += x; case d <- true: n++ } }\nn == spawns/10",
	} {
		began := time.Now()
		r := nb.run(src, 0)
		if r.Err != nil {
			t.Errorf("%s:\n%s", src, r.Err.Traceback())
			continue
		}
		if len(r.Values) != 1 || !r.Values[0].Value.Bool() {
			t.Errorf("%s: %v", src, r.Values)
		}
		t.Logf("%d: %v", spawns, time.Since(began).Round(time.Millisecond))
	}
}
