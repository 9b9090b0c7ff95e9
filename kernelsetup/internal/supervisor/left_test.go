//go:build linux

package supervisor_test

import (
	"bytes"
	"fmt"
	"net"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"
	"time"
)

const leftImports = `import ("bufio"; "context"; "fmt"; "io"; "math/big"; "net"; "net/http"; "net/http/httptest"; "os"; "os/exec"; "os/signal"; "runtime"; "sort"; "strings"; "sync"; "sync/atomic"; "time")
var _ = []any{bufio.NewReader, context.Background, fmt.Print, io.Copy, big.NewInt, net.Listen, http.Get, httptest.NewServer, os.Exit, exec.Command, signal.Notify, runtime.GC, sort.Ints, strings.Repeat, new(sync.Mutex), new(atomic.Int64), time.Now}
kept := 41
var n atomic.Int64`

// leftBehind are cells that end and leave something running.
var leftBehind = []string{
	"go func() { for { n.Add(1) } }()",
	"for range 4 { go func() { for { n.Add(1) } }() }",
	"go func() { x := 0; for { x++ } }()",
	"go func() { for { time.Sleep(time.Microsecond) } }()",
	"go func() { for { runtime.Gosched() } }()",
	"go func() { for range time.Tick(time.Microsecond) { n.Add(1) } }()",
	"go func() { t := time.NewTicker(100*time.Microsecond); for range t.C { n.Add(1) } }()",
	"var again func()\nagain = func() { n.Add(1); time.AfterFunc(time.Microsecond, again) }\nagain()",
	"for range 100 { time.AfterFunc(300*time.Millisecond, func() { for { n.Add(1) } }) }",
	"time.AfterFunc(time.Millisecond, func() { for { n.Add(1) } })",
	"go func() { defer func() { for { n.Add(1) } }(); select {} }()",
	"go func() { for { func() { defer func() { recover() }(); panic(1) }() } }()",
	"go func() { for { func() { defer func() { recover() }(); for { n.Add(1) } }() } }()",
	"var mu sync.Mutex\nfor range 8 { go func() { for { mu.Lock(); n.Add(1); mu.Unlock() } }() }",
	"var rw sync.RWMutex\nfor range 8 { go func() { for { rw.RLock(); n.Add(1); rw.RUnlock() } }() }",
	"c := make(chan int)\ngo func() { for { c <- 1 } }()\ngo func() { for { <-c } }()",
	"c := make(chan int)\ngo func() { for { select { case c <- 1: default: } } }()",
	"for range 1000 { go func() { for { time.Sleep(time.Millisecond) } }() }",
	"var spawn func()\nspawn = func() { n.Add(1); go spawn() }\ngo spawn()",
	"go func() { for { exec.Command(\"true\").Run() } }()",
	"go func() { for { fmt.Sprint(n.Add(1)) } }()",
	"go func() { for { strings.Repeat(\"x\", 1000) } }()",
	"go func() { for { s := make([]int, 10000); sort.Ints(s) } }()",
	"go func() { for { sort.Slice(make([]int, 1000), func(i, j int) bool { return i < j }) } }()",
	"go func() { for { new(big.Int).Exp(big.NewInt(3), big.NewInt(10000), nil) } }()",
	"go func() { m := map[int]int{}; for i := 0; ; i++ { m[i%100]++ } }()",
	"go func() { for { io.Copy(io.Discard, strings.NewReader(strings.Repeat(\"x\", 1<<16))) } }()",
	"ctx, _ := context.WithCancel(context.Background())\ngo func() { for ctx.Err() == nil { } }()",
	"ctx, cancel := context.WithTimeout(context.Background(), time.Hour)\n_ = cancel\ngo func() { <-ctx.Done() }()",
	"signals := make(chan os.Signal)\nsignal.Notify(signals)\ngo func() { for range signals { } }()",
	"r, w, _ := os.Pipe()\ngo func() { for { w.Write([]byte{1}) } }()\ngo func() { io.Copy(io.Discard, r) }()",
	"r, w := io.Pipe()\ngo func() { for { w.Write([]byte{1}) } }()\ngo func() { b := make([]byte, 1); for { r.Read(b) } }()",
	// servers
	"ln, _ := net.Listen(\"tcp\", \"127.0.0.1:PORT\")\ngo http.Serve(ln, http.NotFoundHandler())",
	"go http.ListenAndServe(\"127.0.0.1:PORT\", http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { fmt.Fprint(w, n.Add(1)) }))\ntime.Sleep(50*time.Millisecond)",
	"go http.ListenAndServe(\"127.0.0.1:PORT\", http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { for { n.Add(1) } }))\ntime.Sleep(50*time.Millisecond)\ngo http.Get(\"http://127.0.0.1:PORT/\")\ntime.Sleep(50*time.Millisecond)",
	"ln, _ := net.Listen(\"tcp\", \"127.0.0.1:PORT\")\ngo func() { for { c, err := ln.Accept(); if err != nil { return }; go io.Copy(c, c) } }()",
	"ln, _ := net.Listen(\"tcp\", \"127.0.0.1:PORT\")\ngo func() { for { ln.Accept() } }()",
	"ln, _ := net.Listen(\"tcp\", \"127.0.0.1:PORT\")\n_ = ln",
	"pc, _ := net.ListenPacket(\"udp\", \"127.0.0.1:PORT\")\ngo func() { b := make([]byte, 10); for { pc.ReadFrom(b) } }()",
	"srv := httptest.NewServer(http.NotFoundHandler())\ngo func() { for { http.Get(srv.URL) } }()",
	"ln, _ := net.Listen(\"tcp\", \"127.0.0.1:PORT\")\ngo func() { c, _ := ln.Accept(); for { c.Write([]byte{1}) } }()\nc, _ := net.Dial(\"tcp\", \"127.0.0.1:PORT\")\ngo io.Copy(io.Discard, c)",
	"srv := &http.Server{Addr: \"127.0.0.1:PORT\"}\ngo func() { for { srv.ListenAndServe() } }()\ntime.Sleep(50*time.Millisecond)",
	// child processes
	"exec.Command(\"sleep\", \"1000\").Start()",
	"exec.Command(\"sh\", \"-c\", \"while :; do :; done\").Start()",
	"exec.Command(\"sh\", \"-c\", \"(while :; do :; done) & (while :; do :; done) & wait\").Start()",
	"exec.Command(\"setsid\", \"sh\", \"-c\", \"while :; do :; done\").Start()",
	"go exec.Command(\"sh\", \"-c\", \"while :; do :; done\").Run()\ntime.Sleep(50*time.Millisecond)",
	"c := exec.Command(\"yes\")\nout, _ := c.StdoutPipe()\nc.Start()\ngo io.Copy(io.Discard, out)",
	"c := exec.Command(\"cat\")\nin, _ := c.StdinPipe()\nc.Start()\ngo func() { for { in.Write([]byte(\"x\")) } }()",
	"go func() { for { exec.Command(\"sh\", \"-c\", \"exit 1\").Run() } }()",
	"go func() { for { c := exec.Command(\"sleep\", \"1000\"); c.Start(); c.Process.Kill(); c.Wait() } }()",
}

// processorTime is what a process and those below it have used.
func processorTime(pid int) (used time.Duration) {
	stat, err := os.ReadFile("/proc/" + strconv.Itoa(pid) + "/stat")
	if err != nil {
		return 0
	}
	f := bytes.Fields(stat[bytes.LastIndexByte(stat, ')')+1:])
	for _, i := range []int{11, 12} {
		n, _ := strconv.Atoi(string(f[i]))
		used += time.Duration(n) * 10 * time.Millisecond
	}
	for _, c := range below(pid) {
		used += processorTime(c)
	}
	return used
}

func below(pid int) (list []int) {
	out, _ := exec.Command("pgrep", "-P", strconv.Itoa(pid)).Output()
	for _, f := range strings.Fields(string(out)) {
		n, _ := strconv.Atoi(f)
		list = append(list, n)
	}
	return list
}

func freePort(t *testing.T) string {
	ln, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer ln.Close()
	return strconv.Itoa(ln.Addr().(*net.TCPAddr).Port)
}

// What cells leave running stops when they are told to while none runs:
// a second later no more than one part in a hundred of a core is used, no
// child is there, and ports are free.
func TestLeftBehind(t *testing.T) {
	if len(leftBehind) < 50 {
		t.Errorf("%d cells, want 50", len(leftBehind))
	}
	all := os.Getenv("BONNETBOOK_HOSTILE") != ""
	f := start(t)
	f.ok(leftImports)
	for i, code := range leftBehind {
		if !all && i%10 != 7 {
			continue
		}
		port := freePort(t)
		text := strings.ReplaceAll(code, "PORT", port)
		f.ok(text)
		time.Sleep(50 * time.Millisecond)
		running := f.ok("list running")
		if strings.Contains(running, "nothing") && !strings.Contains(code, "_ = ln") {
			t.Errorf("%s\nis not listed: %s", code, running)
		}
		f.Release()
		time.Sleep(500 * time.Millisecond)
		pid := f.Pid()
		before := processorTime(pid)
		time.Sleep(500 * time.Millisecond)
		if used := processorTime(pid) - before; used > 10*time.Millisecond {
			t.Errorf("%s\ngoes on: %v in 500 ms", code, used)
		}
		if kids := below(pid); len(kids) > 0 {
			t.Errorf("%s\nleaves processes: %v", code, kids)
		}
		if ln, err := net.Listen("tcp", "127.0.0.1:"+port); err != nil {
			t.Errorf("%s\nholds its port: %v", code, err)
		} else {
			ln.Close()
		}
		f.is("kept", "41")
		if fresh := f.ok("done, fired := make(chan bool), make(chan bool)\ngo func() { done <- true }()\ntime.AfterFunc(time.Millisecond, func() { n.Store(-5); close(fired) })\nran := <-done\n<-fired\nfmt.Sprint(ran, n.Load())"); fresh != "true -5" && fresh != `"true -5"` {
			t.Errorf("%s\nafter it new goroutines and timers do %s", code, fresh)
		}
		if t.Failed() && !all {
			break
		}
	}
}

// Nothing that cells have started outlives the kernel.
func TestNoChildOutlivesTheKernel(t *testing.T) {
	f := start(t)
	mark := fmt.Sprintf("10%05d", os.Getpid()%100000)
	f.ok("import \"os/exec\"\nexec.Command(\"sleep\", \"" + mark + "\").Start()\nexec.Command(\"sh\", \"-c\", \"sleep " + mark + " & sleep " + mark + "\").Start()\nexec.Command(\"setsid\", \"sleep\", \"" + mark + "\").Start()")
	time.Sleep(100 * time.Millisecond)
	f.Stop()
	var left []byte
	if !becomes(func() bool { left, _ = exec.Command("pgrep", "-f", "sleep "+mark).Output(); return len(left) == 0 }) {
		t.Errorf("processes are left: %s", left)
	}
}

// Values that were replaced are back with the system when no cell runs.
func TestReplacedValuesAreGivenBack(t *testing.T) {
	f := start(t)
	f.ok("x := make([]byte, 1<<30)\nfor i := 0; i < len(x); i += 4096 { x[i] = 1 }")
	f.ok("x = nil")
	taken := 0
	given := func() bool {
		data, _ := os.ReadFile("/proc/" + strconv.Itoa(f.Pid()) + "/statm")
		pages, _ := strconv.Atoi(strings.Fields(string(data))[1])
		taken = pages * os.Getpagesize()
		return taken <= 250<<20
	}
	if !becomes(given) {
		t.Errorf("%d MB are still taken", taken>>20)
	}
}

// Compiled code that goes on is told of, and the second time ended with its
// process.
func TestCompiledCodeGoesOn(t *testing.T) {
	f := start(t)
	f.ok("import \"math/big\"\nx := 5\ngo new(big.Int).Exp(big.NewInt(3), new(big.Int).Lsh(big.NewInt(1), 40), nil)")
	f.settle()
	if lines := strings.Join(f.Release(), "\n"); !strings.Contains(lines, "interrupt again") {
		t.Fatalf("told %q", lines)
	}
	f.Release()
	if lost := f.losses(); len(lost) != 1 || !strings.Contains(lost[0], "interrupted again") {
		t.Errorf("%q", lost)
	}
	f.is("x", "5")
	time.Sleep(100 * time.Millisecond)
	before := processorTime(f.Pid())
	time.Sleep(300 * time.Millisecond)
	if used := processorTime(f.Pid()) - before; used > 20*time.Millisecond {
		t.Errorf("it goes on: %v", used)
	}
}
