package interpreter

import "testing"

// A panic in a function of a cell that compiled code calls on a goroutine of
// its own goes through that code as in a compiled program: net/http fails the
// request, fmt says so, and the cell goes on.
func TestCompiledCodeRecovers(t *testing.T) {
	nb := newNotebook(t)
	nb.ok(`import ("fmt"; "io"; "log"; "net/http"; "net/http/httptest"; "time"; "strings")`)
	nb.ok(`mux := http.NewServeMux()
mux.HandleFunc("/bad", func(w http.ResponseWriter, r *http.Request) { var m map[string]int; m["x"] = 1 })
mux.HandleFunc("/abort", func(w http.ResponseWriter, r *http.Request) { panic(http.ErrAbortHandler) })
mux.HandleFunc("/good", func(w http.ResponseWriter, r *http.Request) { fmt.Fprint(w, "fine") })
mux.Handle("/late", http.TimeoutHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { panic("late") }), time.Second, "slow"))
server := httptest.NewUnstartedServer(mux)
server.Config.ErrorLog = log.New(io.Discard, "", 0)
server.Start()
get := func(path string) string {
	r, err := http.Get(server.URL + path)
	if err != nil { return "failed" }
	defer r.Body.Close()
	text, _ := io.ReadAll(r.Body)
	return string(text)
}`)
	for range 3 {
		if got := nb.value(`strings.Join([]string{get("/bad"), get("/good"), get("/abort"), get("/late"), get("/good")}, " ")`); got != "failed fine failed failed fine" {
			t.Fatalf("requests: %s", got)
		}
	}
	nb.ok("server.Close()")
	nb.ok("type bad struct{}\nfunc (bad) String() string { panic(\"no text\") }\nvar out strings.Builder\ndone := make(chan bool)")
	nb.ok(`time.AfterFunc(0, func() { fmt.Fprint(&out, bad{}); done <- true })
<-done`)
	if got := nb.value("out.String()"); got != "%!v(PANIC=String method: no text)" {
		t.Errorf("fmt: %s", got)
	}
}
