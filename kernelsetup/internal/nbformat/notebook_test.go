package nbformat

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/internal/mutant"
)

// example was written by Jupyter's own nbformat package; see testdata.
const example = "testdata/example.ipynb"

func TestRoundTripIsByteForByte(t *testing.T) {
	want, err := os.ReadFile(example)
	if err != nil {
		t.Fatal(err)
	}
	n, err := ReadFile(example)
	if err != nil {
		t.Fatal(err)
	}
	var got bytes.Buffer
	if err := n.Write(&got); err != nil {
		t.Fatal(err)
	}
	if got.String() != string(want) {
		t.Errorf("written back as\n%s", got.String())
	}
}

func TestReading(t *testing.T) {
	n, err := ReadFile(example)
	if err != nil {
		t.Fatal(err)
	}
	if n.Language() != "go" || n.Title() != "Title with <b> & ü" {
		t.Errorf("language %q, title %q", n.Language(), n.Title())
	}
	code := n.Cells[2]
	if code.Source() != "fmt.Println(1)\n1+1" || code.ExecutionCount() != 3 || code.ID() != "cell-2" {
		t.Errorf("cell %q, count %d, id %q", code.Source(), code.ExecutionCount(), code.ID())
	}
	out := code.Outputs()
	if len(out) != 4 || out[0].Text != "1\ntwo <3>\n" || out[1].Data["text/plain"] != "2" || out[3].Traceback[1] != "b" {
		t.Errorf("outputs %+v", out)
	}
	if last := n.Cells[4]; !last.HasTag(TagRaises) || last.HasTag(TagParameters) {
		t.Errorf("tags %q", last.Tags())
	}
	if mime, data, ok := n.Cells[0].Attachment("p.png"); !ok || mime != "image/png" || data != "iVBORw0KGgo=" {
		t.Errorf("attachment %q %q %v", mime, data, ok)
	}
}

func TestOutputsSurvive(t *testing.T) {
	n, err := ReadFile(example)
	if err != nil {
		t.Fatal(err)
	}
	c := n.Cells[2]
	before := c.Outputs()
	c.SetOutputs(before)
	for i, o := range c.Outputs() {
		if o.Kind != before[i].Kind || o.Text != before[i].Text || len(o.Data) != len(before[i].Data) {
			t.Errorf("output %d: %+v became %+v", i, before[i], o)
		}
	}
}

func TestStripOutputs(t *testing.T) {
	n, err := ReadFile(example)
	if err != nil {
		t.Fatal(err)
	}
	n.StripOutputs()
	for i, c := range n.Cells {
		if len(c.Outputs()) != 0 || c.ExecutionCount() != 0 {
			t.Errorf("cell %d keeps outputs", i)
		}
	}
	if _, ok := n.Cells[0].raw["outputs"]; ok {
		t.Error("a Markdown cell got outputs")
	}
}

func TestParameters(t *testing.T) {
	n, err := ReadFile(example)
	if err != nil {
		t.Fatal(err)
	}
	for range 2 { // the second time replaces the first
		if err := n.SetParameters(map[string]string{"threshold": "2*4", "name": "open filters"}); err != nil {
			t.Fatal(err)
		}
	}
	if len(n.Cells) != 6 {
		t.Fatalf("%d cells, want one more than 5", len(n.Cells))
	}
	c := n.Cells[2]
	if want := "name = \"open filters\"\nthreshold = 2*4"; c.Source() != want || !c.HasTag(TagInjected) {
		t.Errorf("injected %q with tags %q", c.Source(), c.Tags())
	}
	if err := n.SetParameters(map[string]string{"other": "1"}); err == nil || !strings.Contains(err.Error(), `"other"`) {
		t.Errorf("unknown parameter: %v", err)
	}
	if err := New().SetParameters(map[string]string{"x": "1"}); err == nil || !strings.Contains(err.Error(), "parameters") {
		t.Errorf("no parameters cell: %v", err)
	}
}

func TestNotANotebook(t *testing.T) {
	dir := t.TempDir()
	for name, text := range map[string]string{
		"empty": "", "text": "hello", "list": "[]", "old": `{"nbformat":3,"worksheets":[]}`,
		"no cells": `{"nbformat":4}`, "bad cell": `{"nbformat":4,"cells":[1]}`,
		"bad kind": `{"nbformat":4,"cells":[{"cell_type":"x"}]}`, "cut": `{"nbformat":4,"cells":[`,
		"binary": "\x89PNG\r\n\x1a\n",
	} {
		path := filepath.Join(dir, name+".ipynb")
		os.WriteFile(path, []byte(text), 0o644)
		if _, err := ReadFile(path); err == nil || !strings.Contains(err.Error(), path) {
			t.Errorf("%s: error %v, want one that names the file", name, err)
		}
	}
}

func TestOwnNotebooksAreValid(t *testing.T) {
	if exec.Command("/usr/bin/python3", "-c", "import nbformat").Run() != nil {
		t.Skip("no /usr/bin/python3 with nbformat; on Debian: apt-get install python3-nbformat")
	}
	n := New()
	c := NewCell(Code, "1+1\n2")
	c.SetOutputs([]Output{
		{Kind: Stream, Name: "stdout", Text: "x\ny"},
		{Kind: Result, Count: 1, Data: map[string]any{"text/plain": "2", "image/png": []byte{1, 2}}},
		{Kind: Failure, ErrorName: "panic", ErrorValue: "v", Traceback: []string{"v"}},
	})
	c.SetExecutionCount(1)
	n.Cells = []*Cell{NewCell(Markdown, "# a"), c, NewCell(Raw, "")}
	path := filepath.Join(t.TempDir(), "own.ipynb")
	if err := n.WriteFile(path); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("/usr/bin/python3", "-c",
		"import nbformat,sys; nbformat.validate(nbformat.read(sys.argv[1], 4))", path).CombinedOutput()
	if err != nil {
		t.Errorf("%v\n%s", err, out)
	}
}

func FuzzRead(f *testing.F) { fuzzRead(f) }

func fuzzRead(f mutant.F) {
	data, err := os.ReadFile(example)
	if err != nil {
		f.Fatal(err)
	}
	f.Add(data)
	f.Add([]byte(`{"nbformat":4,"cells":[{"cell_type":"code","source":["a",1],"outputs":[3,{"data":{"a":[]}}],"metadata":{"tags":{}}}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		n, err := Read(bytes.NewReader(data))
		if err != nil {
			return
		}
		for _, c := range n.Cells {
			c.Source()
			c.SetOutputs(c.Outputs())
			_ = slices.Clone(c.Tags())
			c.AddTag("x")
			c.ExecutionCount()
		}
		n.Language()
		n.Title()
		var b bytes.Buffer
		if err := n.Write(&b); err != nil {
			t.Fatal(err)
		}
		if _, err := Read(&b); err != nil {
			t.Fatalf("what was written does not read: %v", err)
		}
	})
}
