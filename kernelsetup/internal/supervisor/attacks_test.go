//go:build linux

package supervisor_test

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"runtime"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/memory"
)

// attacksFile keeps what became of the attacks at the last whole run:
//
//	make hostile
const attacksFile = "testdata/attacks.txt"

const attackImports = `import ("bufio"; "bytes"; "container/list"; "encoding/json"; "fmt"; "image"; "io"; "maps"; "math/big"; "math/rand"; "os"; "reflect"; "regexp"
"runtime"; "slices"; "sort"; "strings"; "sync"; "text/template"; "time"; "compress/gzip"; "encoding/base64"; "encoding/gob"
"gonum.org/v1/gonum/mat"; "gonum.org/v1/gonum/floats"
"github.com/bonnetbook/bonnetbook/pkg/notebook"; "github.com/bonnetbook/bonnetbook/pkg/series")
var _ = []any{bufio.NewReader, bytes.Repeat, list.New, json.Marshal, fmt.Print, image.NewRGBA, io.ReadAll, big.NewInt, rand.Perm, os.Exit, reflect.ValueOf, regexp.Compile,
runtime.GC, sort.Ints, strings.Repeat, new(sync.Mutex), template.New, time.Now, gzip.NewReader, base64.StdEncoding, gob.NewEncoder, mat.NewDense, floats.Sum, notebook.Show, series.New}
var _ = maps.Keys[map[int]int]
var _ = slices.Max[[]int]
type zeros struct{}
func (zeros) Read(p []byte) (int, error) { return len(p), nil }
kept := 41`

// attacks want more memory than there may be, at once or little by little, in
// cells and in compiled code.
var attacks = []string{
	// one allocation in compiled code
	"mat.NewDense(100000, 100000, nil)",
	"mat.NewDense(20000, 20000, nil).Set(0, 0, 1)",
	"mat.NewSymDense(60000, nil)",
	"mat.NewVecDense(1<<31, nil)",
	"image.NewRGBA(image.Rect(0, 0, 100000, 100000))",
	"image.NewGray16(image.Rect(0, 0, 60000, 60000))",
	"strings.Repeat(\"x\", 1<<33)",
	"x := strings.Repeat(\"x\", 1<<28)\nstrings.Join([]string{x, x, x, x, x, x, x, x}, x)",
	"x := strings.Repeat(\"x\", 1<<24)\nlen(strings.Replace(x, \"x\", x[:1<<12], -1))",
	"x := strings.Repeat(\"x\", 1<<24)\nlen(strings.ReplaceAll(x, \"x\", x[:1<<10]))",
	"bytes.Repeat([]byte{1}, 1<<33)",
	"reflect.MakeSlice(reflect.TypeFor[[]int](), 1<<30, 1<<30)",
	"reflect.New(reflect.ArrayOf(1<<30, reflect.TypeFor[int64]()))",
	"rand.Perm(1 << 30)",
	"bufio.NewReaderSize(zeros{}, 1<<33)",
	"bufio.NewWriterSize(io.Discard, 1<<34)",
	"new(big.Int).Lsh(big.NewInt(1), 1<<36)",
	"new(big.Int).Exp(big.NewInt(3), big.NewInt(1<<40), nil)",
	"series.Grid(series.Interval{From: 0, To: 1e10}, 1)",
	"fmt.Sprintf(\"%1000000000d\", 1)",
	"fmt.Sprintf(\"%*d\", 1<<30, 7)",
	"slices.Grow([]int{}, 1<<31)",
	"slices.Repeat([]int{1, 2, 3, 4}, 1<<29)",
	"new(bytes.Buffer).Grow(1 << 34)",
	"new(strings.Builder).Grow(1 << 34)",
	"reflect.MakeMapWithSize(reflect.TypeFor[map[int]int](), 1<<30)",
	"reflect.MakeChan(reflect.TypeFor[chan [1024]int](), 1<<24)",
	"strings.Map(func(r rune) rune { return '世' }, strings.Repeat(\"x\", 1<<29))",
	"floats.Span(make([]float64, 1<<28), 0, 1)",
	"base64.StdEncoding.EncodeToString(make([]byte, 900<<20))",
	"strings.ToUpper(strings.Repeat(\"ß\", 1<<29))",
	"[]rune(strings.Repeat(\"x\", 1<<29))",
	// little by little in compiled code
	"io.ReadAll(zeros{})",
	"new(bytes.Buffer).ReadFrom(zeros{})",
	"bufio.NewScanner(zeros{}).Scan()\ns := bufio.NewScanner(zeros{})\ns.Buffer(nil, 1<<40)\ns.Scan()",
	"bufio.NewReader(zeros{}).ReadString('\\n')",
	"slices.Collect(func(yield func(int) bool) { for i := 0; yield(i); i++ {} })",
	"maps.Collect(func(yield func(int, int) bool) { for i := 0; yield(i, i); i++ {} })",
	"sb := new(strings.Builder)\nio.Copy(sb, zeros{})",
	"template.Must(template.New(\"x\").Parse(`{{range $i, $e := .}}{{printf \"%100000d\" $i}}{{end}}`)).Execute(new(bytes.Buffer), make([]int, 1<<20))",
	"strings.Split(strings.Repeat(\",\", 1<<28), \",\")",
	"regexp.MustCompile(\"x\").ReplaceAllString(strings.Repeat(\"x\", 1<<22), strings.Repeat(\"y\", 1<<12))",
	"regexp.MustCompile(\".\").FindAllStringIndex(strings.Repeat(\"x\", 1<<27), -1)",
	"json.Marshal(make([]int, 1<<29))",
	"fmt.Sprint(make([]int, 1<<28))",
	"var fact func(n int64) *big.Int\nfact = func(n int64) *big.Int { return new(big.Int).MulRange(1, n) }\nfact(1 << 40)",
	"os.Stdout.Write(make([]byte, 800<<20)[:1])\nbytes.ToUpper(bytes.Repeat([]byte{'x'}, 800<<20))",
	"x := make([]string, 1<<20)\nfor i := range x { x[i] = strings.Repeat(\"y\", 1<<12) }\nstrings.Join(x, \",\")",
	// in cells
	"make([]int, 1<<40)",
	"x := []int{}\nfor { x = append(x, 1) }",
	"m := map[int]string{}\nfor i := 0; ; i++ { m[i] = fmt.Sprint(i) }",
	"s := \"x\"\nfor { s += s }",
	"l := list.New()\nfor { l.PushBack(new([1000]int)) }",
	"type node struct { next *node; pad [100]int }\nvar n *node\nfor { n = &node{next: n} }",
	"c := make(chan []int, 1<<20)\nfor { c <- make([]int, 1000) }",
	"var f func(n int) [1000]int\nf = func(n int) [1000]int { x := f(n + 1); x[0] = n; return x }\nf(0)",
	"for { go func() { select {} }() }",
	"for range 5_000_000 { go func() { time.Sleep(time.Hour) }() }",
	"var all [][]byte\nfor { b := make([]byte, 10<<20); for i := 0; i < len(b); i += 4096 { b[i] = 1 }; all = append(all, b) }",
	"var wg sync.WaitGroup\nfor range 8 { wg.Go(func() { var x []byte; for { x = append(x, make([]byte, 1<<20)...) } }) }\nwg.Wait()",
	"var x any\nfor { x = []any{x, make([]byte, 1<<16)} }",
	"notebook.Show(strings.Repeat(\"x\", 1<<29))",
	"strings.Repeat(\"<\", 1<<29)",
	"panic(strings.Repeat(\"x\", 1<<29))",
}

// peak watches how much memory the processes of a supervisor take.
func peak(f *front, stop chan bool) *atomic.Uint64 {
	most := new(atomic.Uint64)
	go func() {
		for {
			select {
			case <-stop:
				return
			case <-time.After(3 * time.Millisecond):
			}
			data, err := os.ReadFile("/proc/" + strconv.Itoa(f.Pid()) + "/statm")
			if fields := bytes.Fields(data); err == nil && len(fields) > 1 {
				pages, _ := strconv.ParseUint(string(fields[1]), 10, 64)
				most.Store(max(most.Load(), pages*uint64(os.Getpagesize())))
			}
		}
	}()
	return most
}

// No attack on memory ends the process without an explanation, or takes much
// more than is allowed, and what was there before it is there afterwards.
func TestMemoryAttacks(t *testing.T) {
	if len(attacks) < 60 {
		t.Errorf("%d attacks, want 60", len(attacks))
	}
	t.Setenv(memory.Variable, "1GB")
	all := os.Getenv("BONNETBOOK_HOSTILE") != ""
	var out strings.Builder
	fmt.Fprintf(&out, "Memory attacks at a limit of 1 GB, by make hostile (%s, %s/%s)\n", runtime.Version(), runtime.GOOS, runtime.GOARCH)
	died, kept, ran, worst := 0, 0, 0, uint64(0)
	for i, code := range attacks {
		if !all && i%12 != 0 {
			continue
		}
		f := start(t) // what the last one has left in variables must not count
		f.ok(attackImports)
		f.settle()
		stop := make(chan bool)
		most := peak(f, stop)
		ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
		begun := time.Now()
		f.n++
		o := f.Run(ctx, execution.Source{Name: fmt.Sprint("cell ", f.n), Text: code}, execution.Terms{})
		took := time.Since(begun)
		cancel()
		close(stop)
		what := "ran"
		switch {
		case o.Died:
			what = "died, explained"
			died++
			if text := o.Failure.Error(); !strings.Contains(text, "memory") && !strings.Contains(text, "stack") && !strings.Contains(text, "out of range") {
				t.Errorf("%s\nis not explained:\n%s", code, text)
			}
		case o.Failure != nil:
			what = "stopped, state kept: " + o.Failure.Name
			kept++
		default:
			ran++
		}
		worst = max(worst, most.Load())
		if most.Load() > 13<<30/10 {
			t.Errorf("%s\ntook %s", code, memory.Text(most.Load()))
		}
		if o.Failure != nil && o.Failure.Name == "interrupted" && took > 15*time.Second {
			what += " (20 s)"
		}
		if got := f.run("kept"); got.Failure != nil || got.Result.Text() != "41" {
			t.Errorf("%s\nthen: %+v", code, got)
		}
		f.Stop()
		fmt.Fprintf(&out, "%-36s %9s  %5.2f s  %s\n", what, memory.Text(most.Load()), took.Seconds(), strings.ReplaceAll(code, "\n", "; "))
	}
	fmt.Fprintf(&out, "%d attacks: %d died and were explained, %d were stopped and kept the state, %d ran; at most %s\n", died+kept+ran, died, kept, ran, memory.Text(worst))
	t.Log(out.String())
	if all {
		os.MkdirAll("testdata", 0o755)
		if err := os.WriteFile(attacksFile, []byte(out.String()), 0o644); err != nil {
			t.Error(err)
		}
	}
}
