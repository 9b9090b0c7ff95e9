package help_test

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/help"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/interpreter"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols"
)

// assistant returns an assistant over a notebook that has run some cells.
func assistant(t testing.TB, dir string, cells ...string) *help.Assistant {
	t.Helper()
	e, err := interpreter.New(interpreter.Options{Library: symbols.Default()})
	if err != nil {
		t.Fatal(err)
	}
	for _, source := range cells {
		if r := e.Execute(context.Background(), interpreter.Cell{Name: "cell 1", Source: source}); r.Err != nil {
			t.Fatal(r.Err)
		}
	}
	return help.New(e, symbols.Default(), dir)
}

const before = `import (
	"fmt"
	"strings"
	"time"
	"net/http"
)

// Reading is one measurement.
type Reading struct {
	Place string
	Temp  float64
	note  string
}

// Warm reports whether the reading is above a limit.
func (r Reading) Warm(limit float64) bool { return r.Temp > limit }

type Log struct {
	Reading
	Name string
}

// mean returns the mean.
func mean(values []float64) float64 { return 0 }

readings := []Reading{{"bay", 48, ""}}
total := 3.5
label := "x"
count := 2
limit := 30 * time.Second
var handler http.Handler
`

// at splits a source at the mark.
func at(source string) (string, int) {
	i := strings.Index(source, "¦")
	return strings.Replace(source, "¦", "", 1), i
}

func TestComplete(t *testing.T) {
	dir := t.TempDir()
	os.WriteFile(filepath.Join(dir, "drive.csv"), nil, 0o644)
	os.Mkdir(filepath.Join(dir, "data"), 0o755)
	os.WriteFile(filepath.Join(dir, "data", "log.txt"), nil, 0o644)
	a := assistant(t, dir, before)
	for _, c := range []struct {
		source string
		first  string // the best match; empty: anything
		has    string // blank-separated
		not    string
	}{
		{"fmt.Printl¦", "Println", "", ""},
		{"fmt.¦", "", "Println Sprintf Stringer Errorf", "newPrinter"},
		{"x := fmt.Sp¦(1)", "", "Sprint Sprintf Sprintln", "Print"},
		{"readings[0].¦", "", "Place Temp note Warm", "Name"},
		{"for _, r := range readings {\n\tr.¦", "", "Place Temp Warm", ""},
		{"for _, r := range readings {\n\tif r.W¦", "Warm", "", ""},
		{"for _, r := range readings {\n\tif r.W¦ {\n\t}\n}\n", "Warm", "", ""},
		{"l := Log{}\nl.¦\nfmt.Println(1)", "", "Name Place Warm Reading", ""},
		{"readi¦", "readings", "", ""},
		{"func f(valueOne int) int {\n\treturn val¦", "valueOne", "", ""},
		{"func f() {\n\tinner := 1\n\tfunc() {\n\t\tinn¦\n\t}()\n}", "inner", "", ""},
		{"r := Reading{¦}", "", "Place: Temp: note:", ""},
		{"r := Reading{Place: \"x\", ¦}", "", "Temp: note:", "Place:"},
		{"r := Reading{Place: \"x\", Te¦", "Temp: ", "", "Place:"},
		{"rs := []Reading{{Pl¦}}", "Place: ", "", ""},
		{"import \"str¦\"", "", "strings strconv", "fmt"},
		{"import (\n\t\"fmt\"\n\t\"gonum.org/v1/gonum/st¦\n)", "gonum.org/v1/gonum/stat", "gonum.org/v1/gonum/stat/distuv", ""},
		{"os.Open(\"dr¦\")", "drive.csv", "", "data/"},
		{"os.Open(\"¦\")", "", "drive.csv data/", ""},
		{"os.Open(\"data/l¦", "log.txt", "", ""},
		{"stri¦", "strings", "", ""},
		{"swi¦", "switch", "", ""},
		{"app¦", "append", "", ""},
		{"strings.ToUpper(¦)", "label", "", ""},
		{"time.Sleep(¦)", "limit", "", ""},
		{"total = ¦", "total", "", ""},
		{"var x Read¦", "Reading", "", ""},
		{"readings[0].warm¦", "Warm", "", ""},
		{"x := 3.¦", "", "", "Println"},
		{"// a comment fm¦", "", "", "fmt"},
		{"strings.NewReader(\"a\").¦", "", "Read Len Seek", ""},
		{"time.Now().Add(limit).¦", "", "Format Sub Unix", ""},
		{"http.StatusNotF¦", "StatusNotFound", "", ""},
		{"handler.¦", "", "ServeHTTP", ""},
		{"var buf strings.Builder\nbuf.Wri¦", "", "WriteString WriteByte", ""},
		{"switch x := any(count).(type) {\ncase int:\n\tcou¦\n}", "count", "", ""},
		{"mean([]float64{to¦", "total", "", ""},
		{"math.Sq¦", "Sqrt", "", ""},
		{"defer readings[0].¦", "", "Warm", ""},
		{"go readings[0].¦", "", "Warm", ""},
		{"func f() {\n\tdefer readings[0].¦", "", "Warm", ""},
		{"switch y := any(readings).(type) { case []Reading: y[0].¦", "", "Place Warm", ""},
		{"/* fmt.¦", "", "", "Println if"},
		{"x := ¦", "", "total", "iota"},
		{"const k = io¦", "iota", "", ""},
	} {
		source, cursor := at(c.source)
		got := a.Complete(source, cursor)
		var texts []string
		for _, m := range got.Matches {
			texts = append(texts, m.Text)
		}
		if c.first != "" && (len(texts) == 0 || texts[0] != c.first) {
			t.Errorf("%q: first is %.10q, want %q", c.source, texts, c.first)
		}
		for _, w := range strings.Fields(c.has) {
			if !slices.ContainsFunc(texts, func(s string) bool { return strings.TrimSpace(s) == w }) {
				t.Errorf("%q: no %s in %.30q", c.source, w, texts)
			}
		}
		for _, w := range strings.Fields(c.not) {
			if slices.ContainsFunc(texts, func(s string) bool { return strings.TrimSpace(s) == w }) {
				t.Errorf("%q: %s among the matches", c.source, w)
			}
		}
		if got.Start > cursor || got.End < cursor || got.End > len(source) {
			t.Errorf("%q: replaces %d to %d", c.source, got.Start, got.End)
		}
	}
}

// Go opens no path that begins with ~, so the folder's real name replaces it.
func TestCompleteHomeFolder(t *testing.T) {
	home := t.TempDir()
	t.Setenv("HOME", home)
	t.Setenv("USERPROFILE", home)
	os.WriteFile(filepath.Join(home, "übung 1.csv"), nil, 0o644)
	source := "os.Open(\"~/üb"
	got := assistant(t, "", before).Complete(source, len(source))
	want := filepath.ToSlash(home) + "/übung 1.csv"
	if len(got.Matches) != 1 || got.Matches[0].Text != want || source[got.Start:got.End] != "~/üb" {
		t.Errorf("%+v, want %s", got, want)
	}
}

func TestMatchTypes(t *testing.T) {
	a := assistant(t, "", before)
	for _, c := range []struct{ source, text, kind, signature string }{
		{"fmt.Sprintf¦", "Sprintf", "function", "func(format string, a ...any) string"},
		{"readings[0].Tem¦", "Temp", "field", "float64"},
		{"tota¦", "total", "variable", "float64"},
		{"Readin¦", "Reading", "type", ""},
		{"strin¦", "strings", "module", "strings"},
		{"time.Secon¦", "Second", "constant", "Duration"},
	} {
		source, cursor := at(c.source)
		found := false
		for _, m := range a.Complete(source, cursor).Matches {
			if m.Text == c.text {
				found = true
				if m.Type != c.kind || m.Signature != c.signature {
					t.Errorf("%s: type %q signature %q, want %q %q", c.text, m.Type, m.Signature, c.kind, c.signature)
				}
			}
		}
		if !found {
			t.Errorf("%s is not among the matches", c.text)
		}
	}
}

func TestInspect(t *testing.T) {
	a := assistant(t, "", before)
	for _, c := range []struct {
		source string
		detail int
		want   []string
	}{
		{"fmt.Printf¦(\"x\")", 0, []string{"func Printf(format string, a ...any) (n int, err error)", "formats according to a format specifier"}},
		{"fmt.Printf(¦\"x\")", 0, []string{"func Printf("}},
		{"fmt.Printf(\"x\", ¦", 0, []string{"func Printf("}},
		{"f¦mt.Println()", 0, []string{"package fmt", "Package fmt implements"}},
		{"tot¦al", 0, []string{"total float64", "3.5", "Declared in cell 1"}},
		{"readings¦", 0, []string{"[]Reading", "bay"}},
		{"readings[0].War¦m(3)", 0, []string{"Warm(limit float64) bool"}},
		{"Read¦ing{}", 1, []string{"type Reading", "Reading is one measurement", "Warm"}},
		{"mean¦(nil)", 1, []string{"mean(values []float64) float64", "mean returns the mean", "return 0"}},
		{"readings[0].Te¦mp", 0, []string{"Temp float64"}},
		{"strings.NewReader(\"\").Re¦ad(nil)", 0, []string{"func (r *Reader) Read(b []byte) (n int, err error)"}},
		{"http.Client{Time¦out: 3}", 0, []string{"Timeout time.Duration", "time limit"}},
		{"time.Secon¦d", 0, []string{"Second"}},
		{"http.StatusNot¦Found", 0, []string{"404"}},
		{"len¦(label)", 0, []string{"func len", "number of elements"}},
		{"import \"gonum.org/v1/gonum/st¦at\"", 0, []string{"package stat"}},
		{"limi¦t", 0, []string{"limit time.Duration", "30s"}},
		{"for _, r := range readings {\n\tr.Wa¦rm(", 0, []string{"Warm(limit float64)"}},
		{"x := strings.Fie¦lds(", 0, []string{"func Fields(s string) []string"}},
		{"readings[0].War¦m(3)", 0, []string{"func (r Reading) Warm(limit float64) bool", "Warm reports whether"}},
		{"fo¦r i := range 3 {}", 0, []string{"for i, x := range"}},
		{"var x float¦64", 0, []string{"16 decimal digits"}},
		{"math.P¦i", 0, []string{"3.141592653589793"}},
	} {
		source, cursor := at(c.source)
		bundle, ok := a.Inspect(source, cursor, c.detail)
		if !ok {
			t.Errorf("%q: nothing found", c.source)
			continue
		}
		for _, w := range c.want {
			if !strings.Contains(bundle.Text(), w) {
				t.Errorf("%q: no %q in\n%s", c.source, w, bundle.Text())
			}
		}
		if !strings.Contains(bundle.HTML(), "<pre>") {
			t.Errorf("%q: no HTML", c.source)
		}
	}
	for _, source := range []string{"", "   ", "noSuchName", "3 + 4", "if bad := noSuch(); bad"} {
		if b, ok := a.Inspect(source, len(source), 0); ok {
			t.Errorf("%q: found %q", source, b.Text())
		}
	}
}

// No cursor position of any text may fail.
func TestEveryPosition(t *testing.T) {
	a := assistant(t, "", before)
	for _, source := range []string{
		before,
		"x := map[string][]Reading{\"a\": {{Place: \"b\"}}}\nfor k, v := range x { fmt.Println(k, v[0].Place) }",
		"if )( { ]] fmt. \"unclosed",
		"func (r Reading",
		"größe := `raw\nstring`; größe",
		"'x",
	} {
		for i := range len(source) + 1 {
			a.Complete(source, i)
			a.Inspect(source, i, 1)
		}
	}
	a.Complete("abc", -5)
	a.Complete("abc", 50)
}

func BenchmarkComplete(b *testing.B) {
	a := assistant(b, "", before)
	for _, c := range []string{"fmt.Printl¦", "r¦", "for _, r := range readings {\n\tif r.W¦ {\n\t}\n}\n", "Reading{¦}"} {
		source, cursor := at(c)
		b.Run(c, func(b *testing.B) {
			for b.Loop() {
				a.Complete(source, cursor)
			}
		})
	}
}
