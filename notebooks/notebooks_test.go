package notebooks

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"
)

// limit bounds one notebook; all of them together take about a minute.
const limit = 3 * time.Minute

type file struct {
	Cells    []cell
	Metadata struct {
		Kernelspec struct{ Name, Language string }
	}
}

type cell struct {
	ID       string
	Kind     string `json:"cell_type"`
	Metadata struct {
		Tags       []string
		Bonnetbook marks
	}
	Source  text
	Outputs []output
	Count   *int `json:"execution_count"`
}

type output struct {
	Kind  string         `json:"output_type"`
	Name  string         `json:"ename"`
	Value string         `json:"evalue"`
	Text  text           `json:"text"`
	Data  map[string]any `json:"data"`
}

// text is a string that the format also writes as a list of lines.
type text string

func (s *text) UnmarshalJSON(data []byte) error {
	var lines []string
	if json.Unmarshal(data, &lines) == nil {
		*s = text(strings.Join(lines, ""))
		return nil
	}
	return json.Unmarshal(data, (*string)(s))
}

func read(t *testing.T, path string) (f file) {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, &f); err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	return f
}

func (f file) code() (code []cell) {
	for _, c := range f.Cells {
		if c.Kind == "code" {
			code = append(code, c)
		}
	}
	return code
}

// all lists the notebooks; copies with outputs, made by hand, are left out.
func all(t *testing.T) []string {
	t.Helper()
	paths, err := filepath.Glob("*.ipynb")
	if err != nil {
		t.Fatal(err)
	}
	paths = slices.DeleteFunc(paths, func(p string) bool { return strings.Contains(p, ".executed.") })
	if len(paths) == 0 {
		t.Fatal("no notebooks beside this test")
	}
	return paths
}

// Notebooks are stored without outputs, for this kernel, with the numbers to
// change in one cell.
func TestStored(t *testing.T) {
	for _, path := range all(t) {
		f := read(t, path)
		if f.Metadata.Kernelspec.Name != "bonnetbook" || f.Metadata.Kernelspec.Language != "go" {
			t.Errorf("%s: the kernelspec is %+v, not bonnetbook", path, f.Metadata.Kernelspec)
		}
		parameters := 0
		for i, c := range f.code() {
			if len(c.Outputs) > 0 || c.Count != nil {
				t.Errorf("%s: code cell %d is stored with outputs; run: bonnetbook strip %s", path, i+1, path)
			}
			if slices.Contains(c.Metadata.Tags, "parameters") {
				parameters++
			}
			if lines := strings.Count(string(c.Source), "\n") + 1; lines > 20 {
				t.Errorf("%s: code cell %d has %d lines; move long code into pkg/", path, i+1, lines)
			}
		}
		if parameters != 1 {
			t.Errorf("%s: %d cells tagged parameters, want 1", path, parameters)
		}
	}
}

// program builds the kernel and runner once for all tests.
var program = sync.OnceValues(func() (string, error) {
	exe := filepath.Join(scratch, "bonnetbook")
	out, err := exec.Command("go", "build", "-o", exe, "../kernelsetup").CombinedOutput()
	if err != nil {
		return "", fmt.Errorf("building the kernel: %w\n%s", err, out)
	}
	return exe, nil
})

var scratch string

func TestMain(m *testing.M) {
	dir, err := os.MkdirTemp("", "notebooks test ") // with a space: paths may have one
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	scratch = dir
	code := m.Run()
	os.RemoveAll(dir)
	os.Exit(code)
}

// run executes one command and fails the test where that does.
func run(t *testing.T, timeout time.Duration, env []string, name string, args ...string) {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), timeout)
	defer cancel()
	cmd := exec.CommandContext(ctx, name, args...)
	cmd.Env = append(os.Environ(), env...)
	cmd.WaitDelay = 10 * time.Second
	var said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &said, &said
	if err := cmd.Run(); err != nil {
		t.Fatalf("%s %s: %v\n%s", name, strings.Join(args, " "), err, said.String())
	}
}

func TestRunner(t *testing.T) {
	exe, err := program()
	if err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(scratch, "runner") + "/"
	for _, path := range all(t) {
		t.Run(path, func(t *testing.T) {
			t.Parallel()
			run(t, limit, nil, exe, "run", "-q", "-keep-going", "-o", out, path)
			judge(t, path, read(t, filepath.Join(out, path)))
		})
	}
}

// judge says whether exactly the cells failed that were meant to, and whether
// the notebook showed something.
func judge(t *testing.T, path string, ran file) {
	t.Helper()
	stored := read(t, path).code()
	got := ran.code()
	if len(got) != len(stored) {
		t.Fatalf("%s: %d code cells came back of %d", path, len(got), len(stored))
	}
	pictures := 0
	for i, c := range got {
		if c.Count == nil {
			t.Errorf("%s: code cell %d was not run", path, i+1)
		}
		failure := ""
		for _, o := range c.Outputs {
			if o.Kind == "error" {
				failure = o.Name + ": " + o.Value
			}
			if o.Data["image/png"] != nil {
				pictures++
			}
			if strings.Contains(string(o.Text), "is no longer package") { // a beginner is not to wonder about that
				t.Errorf("%s: code cell %d takes the name of a package: %s", path, i+1, o.Text)
			}
			if h := rawHeader.FindString(fmt.Sprint(o.Data["text/html"])); h != "" {
				t.Errorf("%s: code cell %d has a Go name for a header: %s", path, i+1, h)
			}
			if w := rawWord.FindString(shownText(o)); w != "" {
				t.Errorf("%s: code cell %d shows %q", path, i+1, w)
			}
		}
		switch meant := slices.Contains(stored[i].Metadata.Tags, "raises-exception"); {
		case failure != "" && !meant:
			t.Errorf("%s: code cell %d failed: %s\n%s", path, i+1, failure, c.Source)
		case failure == "" && meant:
			t.Errorf("%s: code cell %d is meant to fail and did not:\n%s", path, i+1, c.Source)
		}
	}
	if pictures == 0 {
		t.Errorf("%s: no picture", path)
	}
}

// rawWord finds what is meant for programs: names of kinds of driving in files, a
// number that is none with a unit, a struct as Go writes it.
var rawWord = regexp.MustCompile(`\b(road_(slow|middle|fast)|stop_and_go|full_throttle)\b|NaN (K|°C|°F|km/h|mph|kW|hPa|s)\b|[{&]\w*\{?[A-Z]\w+:[^ ]`)

// rawHeader finds a header of a table that is a Go name of several words.
var rawHeader = regexp.MustCompile(`<th[^>]*>[^<]*\b[A-Za-z]*[a-z][A-Z][a-z]+[^<]*</th>`)

// shownText is what an output says in words.
func shownText(o output) string {
	var b strings.Builder
	for _, mime := range []string{"text/plain", "text/markdown"} {
		fmt.Fprintln(&b, o.Data[mime])
	}
	return b.String()
}

// TestJupyter runs the notebooks as a person's Jupyter does, with the kernel
// registered in a folder of the test's own, and expects what the runner gave.
func TestJupyter(t *testing.T) {
	if os.Getenv("BONNETBOOK_NO_JUPYTER") != "" {
		t.Skip("BONNETBOOK_NO_JUPYTER is set")
	}
	jupyter, err := exec.LookPath("jupyter")
	if err != nil {
		t.Skip("jupyter is not installed (Debian: apt-get install jupyter-nbconvert); the runner's test covers the notebooks without it")
	}
	if out, err := exec.Command(jupyter, "nbconvert", "--version").CombinedOutput(); err != nil {
		t.Skipf("jupyter has no nbconvert (Debian: apt-get install jupyter-nbconvert): %s", out)
	}
	exe, err := program()
	if err != nil {
		t.Fatal(err)
	}
	data := filepath.Join(scratch, "jupyter data")
	run(t, limit, nil, exe, "install", "--dir", data)
	paths := all(t)
	out := filepath.Join(scratch, "jupyter")
	env := []string{"JUPYTER_DATA_DIR=" + data, "JUPYTER_CONFIG_DIR=" + filepath.Join(scratch, "config"), "IPYTHONDIR=" + filepath.Join(scratch, "ipython")}
	// One process for all: most of its time is its own start.
	args := []string{"nbconvert", "--to", "notebook", "--execute", "--allow-errors", "--ExecutePreprocessor.timeout=120", "--output-dir", out}
	run(t, limit, env, jupyter, append(args, paths...)...)
	for _, path := range paths {
		t.Run(path, func(t *testing.T) {
			ran := read(t, filepath.Join(out, path))
			judge(t, path, ran)
			byRunner := filepath.Join(scratch, "runner", path)
			if _, err := os.Stat(byRunner); err != nil {
				return // TestRunner was not run, or has told
			}
			for i, c := range read(t, byRunner).code() {
				if got, want := shapes(ran.code()[i]), shapes(c); !slices.Equal(got, want) {
					t.Errorf("%s: code cell %d shows %q in Jupyter and %q by the runner", path, i+1, got, want)
				}
			}
		})
	}
}

// shapes lists what a cell showed: kinds of outputs and their forms. Controls
// are live in Jupyter only; elsewhere they are text.
func shapes(c cell) (all []string) {
	for _, o := range c.Outputs {
		if len(o.Data) == 1 && o.Data["application/vnd.jupyter.widget-view+json"] != nil {
			continue // an Interact's picture for a page loaded anew, empty until then
		}
		var forms []string
		for mime, data := range o.Data {
			if mime == "text/html" && strings.Contains(fmt.Sprint(data), `class="bb-plain"`) {
				continue // a control's value, where it is not alive
			}
			forms = append(forms, mime)
		}
		if o.Data["application/vnd.jupyter.widget-view+json"] != nil {
			forms = []string{"text/plain"}
		}
		slices.Sort(forms)
		all = append(all, o.Kind+" "+strings.Join(forms, " "))
	}
	return all
}
