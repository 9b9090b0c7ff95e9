package supervisor_test

import (
	"fmt"
	"strings"
	"testing"
)

const lateImports = `import (
	"bufio"; "context"; "encoding/csv"; "encoding/json"; "fmt"; "go/ast"; "io"; "log"; "log/slog"; "net/http"; "net/http/httptest"
	"os"; "os/exec"; "reflect"; "runtime/debug"; "runtime/pprof"; "strings"; "text/tabwriter"; "text/template"; "time"
)
`

// late runs code on a goroutine whose cell has ended, while another cell runs,
// and checks what is shown with its cell, where … stands for any rest; the first
// code runs in that cell.
func (f *front) late(what, first, code, stdout, stderr string) {
	f.t.Helper()
	f.mu.Lock()
	clear(f.text)
	f.mu.Unlock()
	f.ok("gate, done := make(chan bool), make(chan bool)\n" + first + "\ngo func() { defer close(done); <-gate\n" + code + "\n}()")
	cell := fmt.Sprint("cell ", f.n)
	f.ok("fmt.Println(\"mine\")\nprintln(\"mine\")\nclose(gate)\n<-done")
	is := func(text, want string) bool {
		if begin, ok := strings.CutSuffix(want, "…"); ok {
			return strings.HasPrefix(text, begin)
		}
		return text == want
	}
	right := func() bool { // it is gathered, and sent in pieces
		f.mu.Lock()
		defer f.mu.Unlock()
		return is(f.text[cell], stdout) && is(f.text[cell+" stderr"], stderr) && f.text["stdout"] == "mine\n" && f.text["stderr"] == "mine\n"
	}
	if !becomes(right) {
		f.mu.Lock()
		defer f.mu.Unlock()
		f.t.Errorf("%s: %q", what, f.text)
	}
}

// What a cell's goroutines, timers and handlers write after its end belongs to
// it, in whatever way they write.
func TestOutputStaysWithItsCell(t *testing.T) {
	f := start(t)
	f.ok(lateImports + `var _ = []any{bufio.NewWriter, csv.NewWriter, json.Marshal, fmt.Print, ast.Print, io.EOF, log.Print, slog.Info, http.Get, httptest.NewServer,
	os.Stdout, exec.Command, reflect.ValueOf, debug.PrintStack, pprof.Do, context.Background, strings.Cut, tabwriter.NewWriter, template.New, time.Now}
type embedding struct{ *os.File }
type source struct{}
func (source) Read([]byte) (int, error) { return 0, io.EOF }
func (source) WriteTo(w io.Writer) (int64, error) { _, same := w.(*os.File); n, err := fmt.Fprintln(w, same); return int64(n), err }
plain := func(_ []string, a slog.Attr) slog.Attr { if a.Key == slog.TimeKey { return slog.Attr{} }; return a }
options := &slog.HandlerOptions{ReplaceAttr: plain}
log.SetFlags(0)`)
	for _, c := range []struct{ what, first, code, stdout, stderr string }{
		{"fmt", "", `fmt.Print("a\n"); fmt.Println("b", 2); fmt.Printf("%d\n", 3)`, "a\nb 2\n3\n", ""},
		{"println", "", `println("a", 1); print(2, "\n")`, "", "a 1\n2\n"},
		{"os.Stdout", "", `os.Stdout.WriteString("a\n"); os.Stdout.Write([]byte("b\n")); n, err := os.Stdout.ReadFrom(strings.NewReader("c\n")); fmt.Println(n, err)`, "a\nb\nc\n2 <nil>\n", ""},
		{"os.Stderr", "", `os.Stderr.WriteString("a\n"); fmt.Fprintln(os.Stderr, "b"); var w io.Writer = os.Stderr; w.Write([]byte("c\n"))`, "", "a\nb\nc\n"},
		{"fmt to a file", "", `fmt.Fprint(os.Stdout, "a\n"); fmt.Fprintln(os.Stdout, "b"); fmt.Fprintf(os.Stdout, "%d\n", 3); io.WriteString(os.Stdout, "d\n")`, "a\nb\n3\nd\n", ""},
		{"a writer that is os.Stdout", "", `var w io.Writer = os.Stdout; n, err := w.Write([]byte("late\n")); fmt.Println(n, err)`, "late\n5 <nil>\n", ""},
		{"another file", "", `f, err := os.CreateTemp("", ""); if err != nil { panic(err) }; defer os.Remove(f.Name()); fmt.Fprint(f, "late"); f.WriteString("!"); b, err := os.ReadFile(f.Name()); fmt.Println(string(b), err)`, "late! <nil>\n", ""},
		{"a goroutine of a goroutine's", "", `d := make(chan bool); go func() { fmt.Println("late"); close(d) }(); <-d`, "late\n", ""},
		{"a timer", "", `d := make(chan bool); time.AfterFunc(1, func() { time.AfterFunc(1, func() { fmt.Println("late"); close(d) }) }); <-d`, "late\n", ""},
		{"function values", "p := fmt.Println", `d := make(chan bool); p("a"); q := fmt.Fprintf; q(os.Stdout, "%d\n", 2); r := []any{fmt.Print}; r[0].(func(...any) (int, error))("c\n"); go func(g func(...any) (int, error)) { g("d"); close(d) }(p); <-d`, "a\n2\nc\nd\n", ""},
		{"function values by reflection", "", `reflect.ValueOf(fmt.Println).Call([]reflect.Value{reflect.ValueOf("a")})`, "a\n", ""},
		{"method values", "p, q := os.Stdout.WriteString, (*os.File).WriteString\nl := log.New(os.Stdout, \"l: \", 0).Print", `p("a\n"); q(os.Stdout, "b\n"); l("c"); m := log.Print; m("d")`, "a\nb\nl: c\n", "d\n"},
		{"a bufio.Writer", "b := bufio.NewWriter(os.Stdout)", `fmt.Fprintln(b, "a"); b.Flush(); c := bufio.NewWriterSize(os.Stderr, 16); fmt.Fprintln(c, "a longer line than fits"); c.Flush()`, "a\n", "a longer line than fits\n"},
		{"a tabwriter", "b := tabwriter.NewWriter(os.Stdout, 0, 8, 1, ' ', 0)", `fmt.Fprintln(b, "a\tb"); b.Flush(); b.Init(os.Stdout, 0, 8, 2, '.', 0); fmt.Fprintln(b, "c\td"); b.Flush()`, "a b\nc..d\n", ""},
		{"encoders", "e := json.NewEncoder(os.Stdout)", `e.Encode([]int{1}); w := csv.NewWriter(os.Stdout); w.Write([]string{"a", "b"}); w.Flush()`, "[1]\na,b\n", ""},
		{"copies", "", `io.Copy(os.Stdout, strings.NewReader("a\n")); io.Copy(io.MultiWriter(os.Stdout, io.Discard), strings.NewReader("b\n")); io.Copy(os.Stdout, io.TeeReader(io.LimitReader(strings.NewReader("c\n"), 2), os.Stderr)); strings.NewReader("d\n").WriteTo(os.Stdout)`, "a\nb\nc\nd\n", "c\n"},
		{"a list of writers", "list := []io.Writer{os.Stdout, os.Stderr}", `fmt.Fprintln(io.MultiWriter(list...), "a"); fmt.Println(list[0] == io.Writer(os.Stdout), list[1].(*os.File) == os.Stderr)`, "a\ntrue true\n", "a\n"},
		{"a template", "", `template.Must(template.New("").Parse("{{.}}\n")).Execute(os.Stdout, 5)`, "5\n", ""},
		{"an embedded file", "", `fmt.Fprintln(embedding{os.Stdout}, "a"); embedding{os.Stdout}.WriteString("b\n")`, "a\nb\n", ""},
		{"log", `log.SetPrefix("p: ")`, `log.Print("a", 1); log.Println("b", 2); log.Printf("%d", 3); log.Output(1, "d"); log.SetPrefix("")`, "", "p: a1\np: b 2\np: 3\np: d\n"},
		{"log's panics", "", `for _, f := range []func(){func() { log.Panic("a") }, func() { log.Panicln("b") }, func() { log.Panicf("%d", 3) }} { func() { defer func() { fmt.Println(recover()) }(); f() }() }`, "a\nb\n\n3\n", "a\nb\n3\n"},
		{"log with its line", "log.SetFlags(log.Lmsgprefix)", `log.SetOutput(os.Stdout); log.Print("a"); log.SetOutput(os.Stderr); log.Print("b"); log.SetFlags(0)`, "a\n", "b\n"},
		{"a logger", `l := log.New(os.Stderr, "l: ", 0)`, `l.Print("a"); l.Println("b"); l.Printf("%d", 3); l.SetOutput(os.Stdout); l.Print("d")`, "l: d\n", "l: a\nl: b\nl: 3\n"},
		{"slog", "h := slog.New(slog.NewTextHandler(os.Stdout, options))", `h.Info("a", "n", 1); slog.New(slog.NewJSONHandler(os.Stderr, options)).Warn("b"); slog.Info("c", "n", 3); slog.With("k", 1).Error("d")`, "level=INFO msg=a n=1\n", "{\"level\":\"WARN\",\"msg\":\"b\"}\nINFO c n=3\nERROR d k=1\n"},
		{"another os.Stdout", "", `r, w, err := os.Pipe(); if err != nil { panic(err) }; old := os.Stdout; os.Stdout = w; ast.Print(nil, 5); fmt.Println("a"); os.Stdout = old; w.Close(); b, _ := io.ReadAll(r); fmt.Printf("%q\n", b)`, "\"     0  5\\na\\n\"\n", ""},
		{"a stack", "", "debug.PrintStack()", "", "goroutine …"},
		{"a syntax tree", "", `ast.Print(nil, 5)`, "     0  5\n", ""},
		{"what comes back", "", `fmt.Println(log.Writer() == os.Stderr, log.New(os.Stdout, "", 0).Writer() == os.Stdout, log.Default().Writer().(*os.File).Name()); io.Copy(os.Stdout, source{}); io.Copy(os.Stdout, bufio.NewReader(strings.NewReader("a\n")))`, "true true /dev/stderr\ntrue\na\n", ""},
		{"a server's handler",
			`srv := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { fmt.Println("asked for", r.URL.Path); d := make(chan int); go func() { fmt.Printf("%d\n", 7); close(d) }(); <-d }))`,
			`_, err := http.Get(srv.URL+"/a"); if err != nil { panic(err) }`, "asked for /a\n7\n", ""},
		{"labels of its own", "", `pprof.Do(context.Background(), pprof.Labels("a", "b"), func(context.Context) { fmt.Println("a"); os.Stdout.WriteString("b\n"); println("c") })`, "a\nb\n", "c\n"},
		{"a server itself", "srv := httptest.NewTLSServer(nil)", `res, err := http.Get("http://" + srv.Listener.Addr().String()); if err == nil { res.Body.Close() }; srv.Close()`, "", "http: TLS handshake error from …"},
		{"a goroutine of os/exec", `c := exec.Command("echo", "a"); c.Stdout = io.MultiWriter(os.Stdout)`, `if err := c.Run(); err != nil { panic(err) }`, "a\n", ""},
	} {
		f.late(c.what, c.first, c.code, c.stdout, c.stderr)
	}
}

// The end of a program that a cell's goroutine wants is the goroutine's.
func TestFatalLogStaysWithItsCell(t *testing.T) {
	f := start(t)
	f.ok("import \"log\"\nlog.SetFlags(0)\ngate := make(chan bool)\ngo func() { <-gate; log.Fatal(\"end\") }()")
	f.ok("close(gate)")
	told := func() bool {
		f.mu.Lock()
		defer f.mu.Unlock()
		return f.text["cell 1 stderr"] == "end\n"
	}
	if !becomes(told) {
		f.mu.Lock()
		defer f.mu.Unlock()
		t.Errorf("%q", f.text)
	}
}
