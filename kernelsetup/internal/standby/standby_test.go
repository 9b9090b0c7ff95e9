package standby

import (
	"runtime"
	"testing"
	"time"
)

// One goroutine runs what comes one after another; one that ends or does not
// come back is replaced, and none is left when all is over.
func TestGoroutineStays(t *testing.T) {
	before := runtime.NumGoroutine()
	p := New()
	answered := make(chan bool)
	ask := func(f func()) {
		p.Go(func() {
			defer func() { answered <- true }()
			f()
		})
	}
	for range 100 {
		ask(func() {})
		<-answered
		for !p.rests.Load() { // it comes back after the answer
			time.Sleep(10 * time.Microsecond)
		}
	}
	if n := runtime.NumGoroutine() - before; n > 2 {
		t.Errorf("%d goroutines for a hundred tasks", n)
	}
	ask(runtime.Goexit)
	<-answered
	hangs := make(chan struct{})
	ask(func() { <-hangs })
	ask(func() {})
	<-answered
	close(hangs)
	<-answered
	p.Close()
	for end := time.Now().Add(5 * time.Second); runtime.NumGoroutine() > before; time.Sleep(time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("%d goroutines are left", runtime.NumGoroutine()-before)
		}
	}
}
