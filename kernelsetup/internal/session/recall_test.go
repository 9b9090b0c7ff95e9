package session

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// The cases were compared with Python's fnmatch.fnmatchcase, which describes
// the globs of Jupyter's history.
func TestGlob(t *testing.T) {
	for _, v := range []struct {
		pattern, s string
		want       bool
	}{
		{"", "", true}, {"", "a", false}, {"*", "", true}, {"*", "a\nb", true},
		{"ab?", "abc", true}, {"ab?", "ab", false}, {"ab?", "abcd", false},
		{"*plot*", "x.plot(y)", true}, {"*plot", "x.plot(y)", false},
		{"a*b*c", "a--b--b--c", true}, {"a*b*c", "a--b--b--", false},
		{"[ab]x", "bx", true}, {"[ab]x", "cx", false}, {"[!ab]x", "cx", true}, {"[!ab]x", "ax", false},
		{"[a-c]", "b", true}, {"[a-c]", "d", false}, {"[", "[", true}, {"[]", "[]", true}, {"[]]", "]", true},
		{"?", "°", true}, {"a[", "a[", true}, {"**a", "bba", true},
	} {
		if got := glob(v.pattern, v.s); got != v.want {
			t.Errorf("glob(%q, %q) is %v", v.pattern, v.s, got)
		}
	}
}

func TestOffsetsCountCodePoints(t *testing.T) {
	s := "t := 82°C // 温度"
	for i, r := range []rune(s) {
		at := byteOffset(s, i)
		if !strings.HasPrefix(s[at:], string(r)) {
			t.Errorf("point %d is at byte %d, which does not begin %q", i, at, r)
		}
		if back := pointOffset(s, at); back != i {
			t.Errorf("byte %d is point %d, want %d", at, back, i)
		}
	}
	if byteOffset(s, 1000) != len(s) || byteOffset(s, -1) != 0 {
		t.Error("positions outside the text are not clipped")
	}
}

func TestHistoryFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "not there yet", "history.jsonl")
	h := openHistory(path)
	h.add(1, "one", "1")
	h.add(2, "two", "")
	h.close()
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	if info.Mode().Perm()&0o077 != 0 {
		t.Errorf("history is readable by others: %v", info.Mode())
	}

	// A second session, behind a line that a crash cut in half.
	f, _ := os.OpenFile(path, os.O_APPEND|os.O_WRONLY, 0)
	f.WriteString("{\"session\":1,\"li\n")
	f.Close()
	h = openHistory(path)
	defer h.close()
	h.add(1, "three", "")
	all := h.find(historyRequest{Access: "tail", N: 10}.choose)
	var got []string
	for _, e := range all {
		got = append(got, fmt.Sprintf("%d/%d %s", e.Session, e.Line, e.Source))
	}
	if want := []string{"1/1 one", "1/2 two", "2/1 three"}; !slices.Equal(got, want) {
		t.Errorf("history %q, want %q", got, want)
	}
	for _, session := range []int{1, -1} {
		r := historyRequest{Access: "range", Session: session, Start: 1, Stop: new(2)}
		if list := h.find(r.choose); len(list) != 1 || list[0].Source != "one" {
			t.Errorf("range of session %d is %v", session, list)
		}
	}
}

func TestHistoryIsBounded(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.jsonl")
	var b strings.Builder
	for i := range maxEntries + 1 {
		fmt.Fprintf(&b, "{\"session\":1,\"line\":%d,\"source\":\"x%d\"}\n", i, i)
	}
	os.WriteFile(path, []byte(b.String()), 0o600)
	h := openHistory(path)
	kept := h.find(func(_ int, all []entry) []entry { return all })
	h.close()
	if len(kept) != keepEntries || kept[len(kept)-1].Line != maxEntries {
		t.Errorf("%d entries kept, the last is line %d", len(kept), kept[len(kept)-1].Line)
	}
	data, err := os.ReadFile(path)
	// One line more: the number of the session that reads it.
	if err != nil || strings.Count(string(data), "\n") != keepEntries+1 {
		t.Errorf("file has %d lines (%v), want %d", strings.Count(string(data), "\n"), err, keepEntries+1)
	}
}

func TestHistoryUniqueKeepsTheLast(t *testing.T) {
	all := []entry{{Line: 1, Source: "a"}, {Line: 2, Source: "b"}, {Line: 3, Source: "a"}}
	got := historyRequest{Access: "search", Pattern: "*", Unique: true}.choose(1, all)
	if len(got) != 2 || got[0].Line != 2 || got[1].Line != 3 {
		t.Errorf("unique gives %v", got)
	}
}
