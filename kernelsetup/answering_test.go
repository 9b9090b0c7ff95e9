package main

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// The shapes of the documents, written down by hand from their description:
// others rely on every field. A value says its kind: number, text, truth, a
// list's element, an object's fields; "?" allows null.
var (
	rise    = map[string]any{"value_K": "number?", "low_K": "number?", "high_K": "number?"}
	percent = map[string]any{"low_percent": "number?", "high_percent": "number?"}

	accountShape = []any{map[string]any{
		"schema": "number", "file": "text", "error": "text?",
		"sessions": []any{map[string]any{
			"start": "text?", "zone_known": "truth", "lines": "number", "read": "number",
			"rejected": []any{map[string]any{"line": "number", "why": "text"}},
			"channels": []any{map[string]any{"name": "text", "quantity": "text", "unit": "text?", "readings": "number", "missing": "number",
				"first": "number?", "last": "number?", "min": "number?", "max": "number?", "from_s": "number?", "to_s": "number?"}},
			"warnings": []any{"text"}, "questions": []any{"text"},
		}},
	}}
	draftShape = map[string]any{
		"schema": "number",
		"files":  []any{map[string]any{"path": "text", "used": "truth", "why": "text"}},
		"devices": []any{map[string]any{"name": "text", "files": []any{"text"},
			"clock":   map[string]any{"offset_s": "number?", "low_s": "number?", "high_s": "number?", "zone_h": "number?"},
			"columns": []any{map[string]any{"name": "text", "role": "text?", "sure": "truth", "min": "number?", "max": "number?"}}}},
		"drives":    []any{map[string]any{"name": "text", "start": "text?", "end": "text?", "configuration": "text?", "files": []any{"text"}}},
		"questions": []any{map[string]any{"id": "text", "kind": "text", "subjects": []any{"text"}, "text": "text", "choices": []any{"text"}, "guess": "text?"}},
	}
	lookShape = []any{map[string]any{
		"schema": "number", "drive": "text", "start": "text?",
		"channels": []any{map[string]any{"role": "text", "name": "text", "unit": "text"}},
		"opening":  map[string]any{"outcome": "text", "at_s": "number?", "low_s": "number?", "high_s": "number?", "at": "text?", "confidence": "text?", "why": "text"},
		"clocks": []any{map[string]any{"device": "text", "file": "text", "reference": "truth", "told": "truth", "method": "text", "via": "text?",
			"offset_s": "number?", "low_s": "number?", "high_s": "number?", "drift_s_per_day": "number?", "also_possible_s": "list?", "opening_at": "text?"}},
		"kinds":  []any{map[string]any{"kind": "text", "minutes": "number", "settled_minutes": "number"}},
		"checks": []any{map[string]any{"what": "text", "text": "text"}},
	}}
	verdictShape = map[string]any{
		"schema": "number", "sentence": "text", "before": "text", "after": "text", "primary": "text", "delta_K": "number",
		"strata": []any{map[string]any{"id": "text", "name": "text", "change_K": "number?", "low_K": "number?", "high_K": "number?", "level": "number?",
			"word": "text", "basis": "text?", "drives_before": "number", "drives_after": "number", "rise_before": rise, "rise_after": rise,
			"budget": "list?", "flaws": []any{"text"}}},
		"power": map[string]any{"low_percent": "number?", "high_percent": "number?", "before_duct": percent,
			"parts": []any{map[string]any{"name": "text", "low_percent": "number?", "high_percent": "number?"}}, "extrapolated": "truth", "basis": "text?"},
		"drives":    []any{map[string]any{"name": "text", "configuration": "text", "used": "truth", "why": "text?"}},
		"flaws":     []any{map[string]any{"kind": "text", "text": "text"}},
		"influence": []any{map[string]any{"drive": "text", "change_K_without": "number?", "odd": "truth"}},
		"pulls":     []any{map[string]any{"drive": "text", "from_s": "number", "to_s": "number", "counts": "truth", "basis": "text", "likely": "number?", "heat_soak": "truth"}},
		"next":      []any{map[string]any{"do": "text", "why": "text"}},
	}
)

// differs says where a decoded document leaves a shape; more fields are
// allowed, fewer are not.
func differs(at string, shape, got any) []string {
	wrong := func(want string) []string { return []string{fmt.Sprintf("%s is %T, want %s", at, got, want)} }
	switch s := shape.(type) {
	case string:
		kind, may := strings.CutSuffix(s, "?")
		if got == nil {
			if may {
				return nil
			}
			return wrong(s)
		}
		ok := false
		switch kind {
		case "number":
			_, ok = got.(float64)
		case "text":
			_, ok = got.(string)
		case "truth":
			_, ok = got.(bool)
		case "list":
			_, ok = got.([]any)
		}
		if !ok {
			return wrong(s)
		}
	case []any:
		all, ok := got.([]any)
		if !ok {
			return wrong("a list")
		}
		var out []string
		for i, x := range all {
			out = append(out, differs(fmt.Sprintf("%s[%d]", at, i), s[0], x)...)
		}
		return out
	case map[string]any:
		all, ok := got.(map[string]any)
		if !ok {
			return wrong("an object")
		}
		var out []string
		for name, x := range s {
			v, there := all[name]
			if !there {
				out = append(out, at+" has no "+name)
				continue
			}
			out = append(out, differs(at+"."+name, x, v)...)
		}
		return out
	}
	return nil
}

// The comparison itself finds what it is to find.
func TestDiffers(t *testing.T) {
	for text, want := range map[string]int{
		`{"do":"a","why":"b","more":1}`: 0, `{"do":"a"}`: 1, `{"do":null,"why":"b"}`: 1, `[]`: 1, `{"do":1,"why":2}`: 2,
	} {
		var got any
		if err := json.Unmarshal([]byte(text), &got); err != nil {
			t.Fatal(err)
		}
		if n := differs("", map[string]any{"do": "text", "why": "text"}, got); len(n) != want {
			t.Errorf("%s: %q", text, n)
		}
	}
}

// decoded reads a document.
func decoded(t *testing.T, out string) any {
	t.Helper()
	var got any
	if err := json.Unmarshal([]byte(out), &got); err != nil {
		t.Fatalf("no JSON: %v\n%.400s", err, out)
	}
	return got
}

// demo is a copy of the demo's logs, with its campaign file if wanted.
func demo(t *testing.T, campaign bool) string {
	t.Helper()
	dir := t.TempDir()
	entries, err := os.ReadDir("../testdata/demo")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if e.Name() == "campaign.toml" && !campaign || e.Name() == "truth.toml" {
			continue
		}
		data, err := os.ReadFile(filepath.Join("../testdata/demo", e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, e.Name()), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// field walks into a decoded document: "strata", 3, "word".
func field(t *testing.T, v any, path ...any) any {
	t.Helper()
	for _, p := range path {
		switch k := p.(type) {
		case string:
			v = v.(map[string]any)[k]
		case int:
			v = v.([]any)[k]
		}
	}
	return v
}

// The demo from its files to its answer: account, draft with answers, save,
// again, look, verdict and its page.
func TestAnswersOfTheDemo(t *testing.T) {
	_, run := bare(t)
	dir := demo(t, false)
	must0 := func(args ...string) any {
		t.Helper()
		status, out, bad := run(args...)
		if status != 0 {
			t.Fatalf("%q: status %d\n%s", args, status, bad)
		}
		return decoded(t, out)
	}
	check := func(what string, shape, got any) {
		t.Helper()
		for _, d := range differs(what, shape, got) {
			t.Error(d)
		}
	}

	account := must0("account", "-json", filepath.Join(dir, "open-1-logger-a.csv"), filepath.Join(dir, "open-1-logger-b.txt"))
	check("account", accountShape, account)
	text, _ := os.ReadFile(filepath.Join(dir, "open-1-logger-a.csv"))
	if lines := field(t, account, 0, "sessions", 0, "lines"); lines != float64(strings.Count(string(text), "\n")) {
		t.Errorf("%v lines", lines)
	}
	if u := field(t, account, 1, "sessions", 0, "channels", 0, "unit"); u != "°C" {
		t.Errorf("unit %v", u)
	}

	draft := must0("draft", "-json", "-all", dir)
	check("draft", draftShape, draft)
	if n := len(field(t, draft, "drives").([]any)); n != 6 {
		t.Errorf("%d drives", n)
	}
	kinds := map[string]bool{}
	for _, q := range field(t, draft, "questions").([]any) {
		kinds[q.(map[string]any)["kind"].(string)] = true
	}
	for k := range kinds {
		if !slices.Contains([]string{"role", "configuration", "date_order", "unit", "zone", "engine", "weather", "mounting", "primary", "delta", "full_throttle", "other"}, k) {
			t.Errorf("a question of kind %q", k)
		}
	}
	if !kinds["role"] || !kinds["configuration"] || !kinds["mounting"] {
		t.Errorf("kinds %v", kinds)
	}
	answers := filepath.Join(t.TempDir(), "answers.txt")
	if err := os.WriteFile(answers, []byte("# roles\nrole.logger-A=T1=ambient,T2=intake,T3=engine-bay,T4=top-tank\nrole.logger-B = \"1=intake,2=bottom-tank,3=radiator-air\"\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	saved := must0("draft", "-json", "-answers", answers, "-answer", "configuration=1=open,2-3=duct,4-5=open,6=duct", "-save", dir)
	if q := field(t, saved, "questions").([]any); len(q) != 0 {
		t.Errorf("questions are left: %v", q)
	}
	toml, err := os.ReadFile(filepath.Join(dir, "campaign.toml"))
	if err != nil {
		t.Fatal(err)
	}
	own := strings.Replace(string(toml), "name = \"my car\"", "name = \"our saloon\" # grandfather's", 1)
	if err := os.WriteFile(filepath.Join(dir, "campaign.toml"), []byte(own), 0o644); err != nil {
		t.Fatal(err)
	}
	again := must0("draft", "-json", "-answer", "mounting=refitted", "-answer", "delta=2 K", "-save", dir)
	if q := field(t, again, "questions").([]any); len(q) != 0 {
		t.Errorf("asked again: %v", q)
	}
	toml, _ = os.ReadFile(filepath.Join(dir, "campaign.toml"))
	if s := string(toml); !strings.Contains(s, "name = \"our saloon\" # grandfather's") || !strings.Contains(s, `mounting = "refitted"`) || strings.Contains(s, `= "?"`) {
		t.Errorf("what was written is not there:\n%.900s", s)
	}

	look := must0("look", "-json", "-drive", "2026-06-06 09:29", dir)
	check("look", lookShape, look)
	if o := field(t, look, 0, "opening", "outcome"); o != "opened" {
		t.Errorf("outcome %v", o)
	}
	openingOnEachClock(t, look)

	page := filepath.Join(dir, "answer.html")
	v := must0("verdict", "-json", "-o", page, dir)
	check("verdict", verdictShape, v)
	for _, s := range field(t, v, "strata").([]any) {
		want := "cooler"
		switch s.(map[string]any)["id"] {
		case "stopped":
			want = "undecided" // standing, drives of one car differ by more than the change
		case "full_throttle":
			want = "not comparable" // nobody stated mass and rated power: brisk, not full throttle
		}
		if w := s.(map[string]any)["word"]; w != want {
			t.Errorf("%v: %v, want %v", s.(map[string]any)["id"], w, want)
		}
	}
	if d := field(t, v, "delta_K"); d != 2.0 {
		t.Errorf("delta %v", d)
	}
	html, err := os.ReadFile(page)
	if err != nil {
		t.Fatal(err)
	}
	for _, unwanted := range []string{"http://", "https://", "<script", "<link", "<img", "src=", "url("} {
		if strings.Contains(string(html), unwanted) {
			t.Errorf("the page has %q", unwanted)
		}
	}
	for _, wanted := range []string{"<svg", "<table", "prefers-color-scheme: dark", "size: A4"} {
		if !strings.Contains(string(html), wanted) {
			t.Errorf("the page has no %q", wanted)
		}
	}
	// Its own page is replaced, anybody else's is not.
	if err := os.WriteFile(page, []byte("<html>mine</html>"), 0o644); err != nil {
		t.Fatal(err)
	}
	if status, _, bad := run("verdict", "-o", page, dir); status != 1 || !strings.Contains(bad, "is there already") {
		t.Errorf("over a foreign file: status %d, %s", status, bad)
	}
	if data, _ := os.ReadFile(page); string(data) != "<html>mine</html>" {
		t.Error("a foreign file was overwritten")
	}
	// One configuration alone, and the same twice, are told as such.
	v = must0("verdict", "-json", "-before", "open", "-after", "open", dir)
	check("verdict", verdictShape, v)
	if w := field(t, v, "strata", 3, "word"); w != "not comparable" || field(t, v, "flaws", 0, "kind") != "same configuration" {
		t.Errorf("the same configuration twice: %v, %v", w, field(t, v, "flaws"))
	}
}

// What can't be read says why, the rest goes on; the document stays whole.
func TestAnswersOfBrokenInput(t *testing.T) {
	home, run := bare(t)
	put := func(name, text string) string {
		path := filepath.Join(home, name)
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return path
	}
	var good strings.Builder
	good.WriteString("Time,T1 (°C)\n")
	for i := range 100 {
		fmt.Fprintf(&good, "2026-05-13 09:%02d:%02d,%d\n", i/60, i%60, 20+i%7)
	}
	ok := put("good.csv", good.String())
	empty, binary, nul := put("empty.csv", ""), put("noise.csv", "\x00\x01\x02\xff\xfe\xd8\x07\x1b\x03\x04\x05\x06\x0e\x0f\x10\x11"), put("nul.csv", strings.Repeat("\x00", 500))
	broken := put("broken.toml", "[car\nname = 3")
	status, out, bad := run("account", "-json", ok, empty, binary, nul, filepath.Join(home, "missing.csv"), home)
	got := decoded(t, out)
	for _, d := range differs("account", accountShape, got) {
		t.Error(d)
	}
	if status != 1 || field(t, got, 0, "error") != nil || len(field(t, got, 0, "sessions").([]any)) != 1 {
		t.Errorf("status %d\n%s%s", status, out, bad)
	}
	for i := 1; i < 6; i++ {
		if e, _ := field(t, got, i, "error").(string); e == "" || len(field(t, got, i, "sessions").([]any)) != 0 {
			t.Errorf("file %d: %v", i, field(t, got, i))
		}
	}
	for _, c := range []struct {
		args   []string
		status int
		says   string
	}{
		{[]string{"account"}, 2, "at least one file"},
		{[]string{"draft"}, 2, "one folder"},
		{[]string{"draft", filepath.Join(home, "none")}, 1, "folder with the logs"},
		{[]string{"draft", home, "-answer", "nonsense"}, 2, "ID=VALUE"},
		{[]string{"draft", home, "-answer", "colour=red"}, 1, "no question \"colour\""},
		{[]string{"draft", home, "-answer", "configuration=9=open"}, 1, "no drive"},
		{[]string{"draft", home, "-answers", filepath.Join(home, "none.txt")}, 1, "none.txt"},
		{[]string{"look"}, 2, "files, or one campaign"},
		{[]string{"look", empty}, 1, "empty"},
		{[]string{"look", ok, "-drive", "x"}, 2, "-drive"},
		{[]string{"look", broken}, 1, "broken.toml:1"},
		{[]string{"look", filepath.Join(home, "none.toml")}, 1, "none.toml"},
		{[]string{"verdict"}, 2, "one campaign"},
		{[]string{"verdict", ok}, 2, "no campaign"},
		{[]string{"verdict", broken}, 1, "broken.toml:1"},
		{[]string{"verdict", broken, "-delta", "0"}, 2, "above 0"},
		{[]string{"verdict", broken, "-primary", "uphill"}, 2, "uphill"},
		{[]string{"verdict", broken, "-before", "a"}, 2, "go together"},
	} {
		status, out, bad := run(c.args...)
		if status != c.status || !strings.Contains(bad, c.says) || out != "" {
			t.Errorf("%q: status %d, want %d, and %q in\n%s%s", c.args, status, c.status, c.says, bad, out)
		}
	}
	// One file alone can be looked at, with what was assumed.
	status, out, bad = run("look", "-json", ok)
	got = decoded(t, out)
	for _, d := range differs("look", lookShape, got) {
		t.Error(d)
	}
	if status != 0 || field(t, got, 0, "drive") != "good.csv" {
		t.Errorf("status %d %s\n%s", status, bad, out)
	}
}

// Progress is told from one second on and not before.
func TestProgress(t *testing.T) {
	back := os.Stderr
	defer func() { os.Stderr = back }()
	said := func(wait time.Duration) string {
		r, w, err := os.Pipe()
		if err != nil {
			t.Fatal(err)
		}
		os.Stderr = w
		p := startProgress("waiting")
		p.now("still waiting")
		time.Sleep(wait)
		p.end()
		w.Close()
		b := make([]byte, 200)
		n, _ := r.Read(b)
		return string(b[:n])
	}
	if s := said(50 * time.Millisecond); s != "" {
		t.Errorf("at once: %q", s)
	}
	if s := said(1300 * time.Millisecond); !strings.Contains(s, "still waiting") {
		t.Errorf("after a second: %q", s)
	}
}

// openingOnEachClock holds the stamp that each device's clock showed at the
// opening against its instant: but for whole hours of a zone they are apart by
// what was added to the device's times.
func openingOnEachClock(t *testing.T, look any) {
	t.Helper()
	at, err := time.Parse(time.RFC3339Nano, field(t, look, 0, "opening", "at").(string))
	if err != nil {
		t.Fatal(err)
	}
	start, err := time.Parse(time.RFC3339Nano, field(t, look, 0, "start").(string))
	if err != nil || math.Abs(at.Sub(start).Seconds()-field(t, look, 0, "opening", "at_s").(float64)) > 0.01 {
		t.Errorf("the opening is at %v, the drive begins at %v, error %v", at, start, err)
	}
	clocks := field(t, look, 0, "clocks").([]any)
	if len(clocks) != 3 {
		t.Errorf("%d clocks, want 3", len(clocks))
	}
	for i := range clocks {
		shown, err := time.Parse("2006-01-02 15:04:05", field(t, look, 0, "clocks", i, "opening_at").(string))
		if err != nil {
			t.Fatal(err)
		}
		off := at.Sub(shown).Seconds() - field(t, look, 0, "clocks", i, "offset_s").(float64)
		if rest := math.Remainder(off, 3600); math.Abs(rest) > 1 {
			t.Errorf("%v: it showed %v at %v, and %.1f s are not told", clocks[i], shown, at, rest)
		}
	}
}
