package interpreter

import (
	"context"
	"fmt"
	"io"
	"os"
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols"
)

// runCells executes cells in a fresh notebook and returns what they print.
func runCells(t *testing.T, cells ...string) (string, []Result) {
	t.Helper()
	e, err := New(Options{Library: symbols.Default()})
	if err != nil {
		t.Fatal(err)
	}
	var results []Result
	out := captured(t, func() {
		for i, c := range cells {
			results = append(results, e.Execute(context.Background(), Cell{Name: fmt.Sprintf("cell %d", i+1), Source: c}))
		}
	})
	return out, results
}

func captured(t *testing.T, f func()) string {
	t.Helper()
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	old := os.Stdout
	os.Stdout = w
	done := make(chan string)
	go func() {
		b, _ := io.ReadAll(r)
		done <- string(b)
	}()
	f()
	os.Stdout = old
	w.Close()
	return <-done
}

func TestSmoke(t *testing.T) {
	for _, c := range []struct{ src, out, val string }{
		{`1+1`, "", "2"},
		{"s := 0\nfor i := 0; i < 10; i++ { s += i }\ns", "", "45"},
		{"import \"fmt\"\nfmt.Println(\"hi\", 3, 2.5)", "hi 3 2.5\n", ""},
		{"func fib(n int) int { if n < 2 { return n }; return fib(n-1)+fib(n-2) }\nfib(20)", "", "6765"},
	} {
		out, res := runCells(t, c.src)
		r := res[0]
		if r.Err != nil {
			t.Errorf("%s:\n%s", c.src, r.Err.Traceback())
			continue
		}
		val := ""
		for _, v := range r.Values {
			val += fmt.Sprint(v.Value)
		}
		if out != c.out || val != c.val {
			t.Errorf("%s: out %q val %q", c.src, out, val)
		}
	}
}
