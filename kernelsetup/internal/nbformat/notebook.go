// Package nbformat reads and writes notebook files (.ipynb, format 4). What it
// does not know it keeps.
package nbformat

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"

	"github.com/bonnetbook/bonnetbook/internal/atomicfile"
)

// Notebook is a notebook file in memory.
type Notebook struct {
	Cells []*Cell

	raw map[string]any // everything but the cells
}

// New returns an empty notebook for this kernel.
func New() *Notebook {
	return &Notebook{raw: map[string]any{
		"nbformat": json.Number("4"), "nbformat_minor": json.Number("5"),
		"metadata": map[string]any{
			"kernelspec":    map[string]any{"name": "bonnetbook", "display_name": "Go (Bonnetbook)", "language": "go"},
			"language_info": map[string]any{"name": "go", "file_extension": ".go", "mimetype": "text/x-go"},
		},
	}}
}

// Read reads a notebook of format 4.
func Read(r io.Reader) (*Notebook, error) {
	dec := json.NewDecoder(r)
	dec.UseNumber()
	raw := map[string]any{}
	if err := dec.Decode(&raw); err != nil {
		var syntax *json.SyntaxError
		if errors.As(err, &syntax) {
			return nil, fmt.Errorf("not a notebook: not JSON at byte %d: %w", syntax.Offset, err)
		}
		return nil, fmt.Errorf("not a notebook: %w", err)
	}
	major, _ := raw["nbformat"].(json.Number)
	if major.String() != "4" {
		return nil, fmt.Errorf("not a notebook of format 4: nbformat is %q; open it in Jupyter and save it again", major)
	}
	list, ok := raw["cells"].([]any)
	if !ok {
		return nil, errors.New("not a notebook: no list \"cells\"")
	}
	n := &Notebook{raw: raw}
	delete(raw, "cells")
	for i, c := range list {
		m, ok := c.(map[string]any)
		if !ok {
			return nil, fmt.Errorf("cell %d is not a JSON object", i+1)
		}
		cell := &Cell{raw: m}
		switch cell.Kind() {
		case Code, Markdown, Raw:
		default:
			return nil, fmt.Errorf("cell %d: cell_type is %q, want \"code\", \"markdown\" or \"raw\"", i+1, m["cell_type"])
		}
		n.Cells = append(n.Cells, cell)
	}
	return n, nil
}

// ReadFile reads a notebook file; the error names it. What is no file is refused:
// opening a pipe waits for ever, a device never ends.
func ReadFile(path string) (*Notebook, error) {
	switch info, err := os.Stat(path); {
	case err != nil:
		return nil, err
	case info.IsDir():
		return nil, fmt.Errorf("%s is a folder, not a notebook; name one file in it", path)
	case !info.Mode().IsRegular():
		return nil, fmt.Errorf("%s is not a regular file; copy the notebook into a file first", path)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	n, err := Read(f)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return n, nil
}

// Write writes the notebook as Jupyter does: keys sorted, indented by one
// space, one line feed at the end.
func (n *Notebook) Write(w io.Writer) error {
	doc := make(map[string]any, len(n.raw)+1)
	for k, v := range n.raw {
		doc[k] = v
	}
	cells := make([]any, len(n.Cells))
	for i, c := range n.Cells {
		cells[i] = c.raw
	}
	doc["cells"] = cells
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", " ")
	return enc.Encode(doc)
}

// WriteFile writes the notebook to a file in one step, by the rules of
// atomicfile.Write: the mode is kept, a link is written through. The error
// names the path.
func (n *Notebook) WriteFile(path string) error {
	var buf bytes.Buffer
	if err := n.Write(&buf); err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	return atomicfile.Write(path, buf.Bytes(), 0o644)
}

// Language returns the language of the notebook's code, as its metadata say.
func (n *Notebook) Language() string {
	meta, _ := n.raw["metadata"].(map[string]any)
	for _, key := range []string{"kernelspec", "language_info"} {
		m, _ := meta[key].(map[string]any)
		for _, field := range []string{"language", "name"} {
			if s, ok := m[field].(string); ok && (field == "language" || key == "language_info") {
				return s
			}
		}
	}
	return ""
}

// Kernel returns the name of the kernel that the notebook asks for, or the
// empty string.
func (n *Notebook) Kernel() string {
	meta, _ := n.raw["metadata"].(map[string]any)
	spec, _ := meta["kernelspec"].(map[string]any)
	name, _ := spec["name"].(string)
	return name
}

// Title returns the first heading of the notebook, or the empty string.
func (n *Notebook) Title() string {
	for _, c := range n.Cells {
		if c.Kind() == Markdown {
			if h := heading(c.Source()); h != "" {
				return h
			}
		}
	}
	return ""
}

// StripOutputs removes all outputs and execution counts, and the mark of an
// executed copy.
func (n *Notebook) StripOutputs() {
	n.unmark()
	for _, c := range n.Cells {
		if c.Kind() == Code {
			c.SetOutputs(nil)
			c.SetExecutionCount(0)
		}
	}
}

// Clone returns a deep copy.
func (n *Notebook) Clone() (*Notebook, error) {
	var buf bytes.Buffer
	if err := n.Write(&buf); err != nil {
		return nil, err
	}
	return Read(&buf)
}
