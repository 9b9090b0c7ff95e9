package stdstreams

import (
	"bufio"
	"errors"
	"fmt"
	"os"
	"strings"
	"sync"
	"testing"
)

// collector is an emit function that remembers.
type collector struct {
	mu    sync.Mutex
	text  map[Name]string
	calls int
}

func (c *collector) emit(name Name, text string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.text == nil {
		c.text = map[Name]string{}
	}
	c.text[name] += text
	c.calls++
}

func captured(t *testing.T, f func()) *collector {
	t.Helper()
	c := new(collector)
	o, err := Start(c.emit)
	if err != nil {
		t.Fatal(err)
	}
	f()
	o.Flush()
	o.Stop()
	return c
}

func TestStreamsAreCapturedAndGivenBack(t *testing.T) {
	c := captured(t, func() {
		fmt.Println("out")
		fmt.Fprintln(os.Stderr, "err")
		fmt.Print("no line feed")
	})
	if c.text[Stdout] != "out\nno line feed" || c.text[Stderr] != "err\n" {
		t.Errorf("captured %q", c.text)
	}
	c2 := captured(t, func() { fmt.Print("again") })
	if c2.text[Stdout] != "again" || strings.Contains(c.text[Stdout], "again") {
		t.Errorf("second capture %q, first %q", c2.text, c.text)
	}
}

func TestManyLinesComeInFewPieces(t *testing.T) {
	const n = 100000
	c := captured(t, func() {
		for i := range n {
			fmt.Println(i)
		}
	})
	var want strings.Builder
	for i := range n {
		fmt.Fprintln(&want, i)
	}
	if c.text[Stdout] != want.String() {
		t.Errorf("%d bytes captured, %d written", len(c.text[Stdout]), want.Len())
	}
	if c.calls > 100 {
		t.Errorf("%d pieces", c.calls)
	}
}

func TestManyWriters(t *testing.T) {
	c := captured(t, func() {
		var wg sync.WaitGroup
		for range 8 {
			wg.Go(func() {
				for range 2000 {
					fmt.Println("line")
				}
			})
		}
		wg.Wait()
	})
	if got := strings.Count(c.text[Stdout], "line\n"); got != 16000 {
		t.Errorf("%d lines, want 16000", got)
	}
}

func TestWholeRunes(t *testing.T) {
	for _, v := range []struct {
		s    string
		want int
	}{
		{"", 0}, {"a", 1}, {"°", 2}, {"a\xc2", 1}, {"温", 3}, {"温\xe6\xb8", 3}, {"\xf0\x9f\x98", 0}, {"😀", 4},
		{"\xff\xff", 2}, {"a\x80", 2},
	} {
		if got := wholeRunes([]byte(v.s)); got != v.want {
			t.Errorf("wholeRunes(%q) = %d, want %d", v.s, got, v.want)
		}
	}
}

func input(t *testing.T) *Input {
	t.Helper()
	in, err := StartInput()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(in.Stop)
	return in
}

func answers(lines ...string) func() (string, error) {
	return func() (string, error) {
		if len(lines) == 0 {
			return "", errors.New("no more")
		}
		line := lines[0]
		lines = lines[1:]
		return line, nil
	}
}

func TestReadersAreSeen(t *testing.T) {
	if !canSeeReaders() {
		t.Fatal("a waiting reader of a pipe is not seen with this version of Go; reading needs another look")
	}
}

func TestInputIsAskedForWhenRead(t *testing.T) {
	in := input(t)
	asked := 0
	next := answers("3 4", "a line", "dropped")
	in.Begin(func() (string, error) { asked++; return next() })
	var a, b int
	if _, err := fmt.Scan(&a, &b); err != nil || a != 3 || b != 4 {
		t.Errorf("scanned %d and %d, %v", a, b, err)
	}
	r := bufio.NewReader(os.Stdin)
	if line, err := r.ReadString('\n'); line != "a line\n" || err != nil {
		t.Errorf("read %q, %v", line, err)
	}
	if asked != 2 {
		t.Errorf("asked %d times for 2 lines", asked)
	}
	in.End()

	// The same reader goes on in the next cell.
	in.Begin(answers("later"))
	if line, err := r.ReadString('\n'); line != "later\n" || err != nil {
		t.Errorf("in the next cell read %q, %v", line, err)
	}
	in.End()
}

func TestInputEnds(t *testing.T) {
	in := input(t)
	read := func() error {
		_, err := os.Stdin.Read(make([]byte, 1))
		return err
	}
	if err := read(); err == nil {
		t.Error("read before any cell succeeded")
	}
	in.Begin(nil)
	if err := read(); err == nil {
		t.Error("read without a front end that can ask succeeded")
	}
	in.End()
	in.Begin(answers())
	if err := read(); err == nil {
		t.Error("read after a refusal succeeded")
	}
	in.End()
	in.Begin(answers("x"))
	if err := read(); err != nil {
		t.Errorf("read in a later cell: %v", err)
	}
	in.End()
}
