package session

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A file with damaged, endless and unfinished lines gives what is good in it,
// and what is added later stays readable.
func TestHistorySurvivesDamage(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.jsonl")
	damaged := `{"session":4,"line":1,"source":"a"}` + "\n\x00\xff{{{\n[1,2]\n" +
		`{"session":4,"line":2,"source":"` + strings.Repeat("x", 8*maxEntry) + `"}` + "\n" +
		`{"session":5,"line":1,"source":"b"}` + "\n" + `{"session":5,"line":2,"sou`
	if err := os.WriteFile(path, []byte(damaged), 0o600); err != nil {
		t.Fatal(err)
	}
	h := openHistory(path)
	h.add(1, "c", "")
	h.close()
	h = openHistory(path)
	defer h.close()
	var got []string
	session := 0
	h.find(func(n int, all []entry) []entry {
		session = n
		for _, e := range all {
			got = append(got, e.Source[:1])
		}
		return nil
	})
	if strings.Join(got, "") != "axbc" || session != 7 {
		t.Errorf("sources %q, session %d; want a x b c and session 7", got, session)
	}
}

// Two kernels that run side by side have numbers of their own.
func TestHistorySessionsDiffer(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.jsonl")
	number := func(h *history) (n int) {
		h.find(func(session int, _ []entry) []entry { n = session; return nil })
		return n
	}
	a := openHistory(path)
	defer a.close()
	first := number(a)
	b := openHistory(path)
	defer b.close()
	if second := number(b); second == first {
		t.Errorf("both kernels are session %d", first)
	}
}
