package interpreter

import (
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"
)

// Cells leave something running that writes to maps, in their own code and in
// compiled code, while the notebook is saved, again and again: the run time
// would end the process where both are at one map. So each is a process of its
// own.
func TestSavingWhileMapsAreWritten(t *testing.T) {
	cells := map[string]string{
		"goroutine": "go func() { for i := 0; ; i++ { m[i%1000] = i; delete(m, (i+500)%1000) } }()",
		"timer":     "var again func()\nagain = func() { for i := range 20000 { m[i%1000] = i; delete(m, (i+500)%1000) }; time.AfterFunc(time.Microsecond, again) }\nagain()",
		"server":    "srv := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { for i := range 20000 { m[i%1000] = i; delete(m, (i+500)%1000) } }))\nask := exec.Command(\"sh\", \"-c\", \"while curl -s $0; do :; done\", srv.URL)\nask.Start()",
		"json":      "text := []byte(`{\"a\":1,\"b\":2}`)\ngo func() { for { json.Unmarshal(text, &named) } }()",
		"header":    "go func() { for i := 0; ; i++ { header.Set(strconv.Itoa(i%100), \"x\"); header.Del(strconv.Itoa((i+50)%100)) } }()",
		"reflect":   "go func() { v := reflect.ValueOf(named); for i := 0; ; i++ { v.SetMapIndex(reflect.ValueOf(strconv.Itoa(i%100)), reflect.ValueOf(i)) } }()",
	}
	if which := os.Getenv("BONNETBOOK_TEST_SAVING"); which != "" {
		nb := newNotebook(t)
		nb.ok("import (\"encoding/json\"; \"net/http\"; \"net/http/httptest\"; \"os/exec\"; \"reflect\"; \"strconv\"; \"time\")\nvar _ = []any{json.Marshal, http.Get, httptest.NewServer, exec.Command, reflect.ValueOf, strconv.Itoa, time.Now}")
		nb.ok("m := map[int]int{}\nnamed := map[string]int{}\nheader := http.Header{}")
		nb.ok(cells[which])
		saves, longest := 0, time.Duration(0)
		for end := time.Now().Add(time.Second); time.Now().Before(end); {
			began := time.Now()
			if _, ok := nb.e.Save(nil); ok {
				saves++
			}
			longest = max(longest, time.Since(began))
		}
		if saves == 0 {
			t.Error("never saved")
		}
		t.Logf("saved %d times, the longest took %v", saves, longest)
		nb.e.Release()
		nb.e.GiveUp()
		return
	}
	for which := range cells {
		cmd := exec.Command(os.Args[0], "-test.run=^TestSavingWhileMapsAreWritten$", "-test.v")
		cmd.Env = append(os.Environ(), "BONNETBOOK_TEST_SAVING="+which)
		out, err := cmd.CombinedOutput()
		if err != nil {
			t.Errorf("%s: %v\n%.1500s", which, err, out)
			continue
		}
		for line := range strings.Lines(string(out)) {
			if strings.Contains(line, "saved") {
				t.Logf("%s: %s", which, strings.TrimSpace(line))
			}
		}
	}
}
