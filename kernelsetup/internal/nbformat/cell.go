package nbformat

import (
	"crypto/rand"
	"encoding/hex"
	"encoding/json"
	"slices"
	"strconv"
	"strings"
)

// Kind is what a cell holds.
type Kind string

// The kinds of cells that format 4 knows.
const (
	Code     Kind = "code"
	Markdown Kind = "markdown"
	Raw      Kind = "raw"
)

// Tags with a meaning to this kernel's tools; they are Jupyter's own.
const (
	// TagParameters marks the cell whose values a run may replace.
	TagParameters = "parameters"
	// TagInjected marks the cell that replaces them.
	TagInjected = "injected-parameters"
	// TagRaises marks a cell that is expected to fail.
	TagRaises = "raises-exception"
)

// Cell is one cell of a notebook.
type Cell struct{ raw map[string]any }

// NewCell returns a cell with a fresh id.
func NewCell(kind Kind, source string) *Cell {
	var id [4]byte
	rand.Read(id[:])
	c := &Cell{raw: map[string]any{
		"cell_type": string(kind), "id": hex.EncodeToString(id[:]), "metadata": map[string]any{}}}
	if kind == Code {
		c.raw["outputs"] = []any{}
		c.raw["execution_count"] = nil
	}
	c.SetSource(source)
	return c
}

// Kind returns what the cell holds.
func (c *Cell) Kind() Kind {
	s, _ := c.raw["cell_type"].(string)
	return Kind(s)
}

// Source returns the cell's text.
func (c *Cell) Source() string { return joined(c.raw["source"]) }

// SetSource replaces the cell's text.
func (c *Cell) SetSource(s string) { c.raw["source"] = splitLines(s) }

// ID returns the cell's id, empty in files older than format 4.5.
func (c *Cell) ID() string {
	s, _ := c.raw["id"].(string)
	return s
}

// Tags returns the cell's tags.
func (c *Cell) Tags() []string {
	meta, _ := c.raw["metadata"].(map[string]any)
	list, _ := meta["tags"].([]any)
	var tags []string
	for _, t := range list {
		if s, ok := t.(string); ok {
			tags = append(tags, s)
		}
	}
	return tags
}

// HasTag reports whether the cell has a tag.
func (c *Cell) HasTag(tag string) bool { return slices.Contains(c.Tags(), tag) }

// AddTag adds a tag.
func (c *Cell) AddTag(tag string) {
	if c.HasTag(tag) {
		return
	}
	meta, _ := c.raw["metadata"].(map[string]any)
	if meta == nil {
		meta = map[string]any{}
		c.raw["metadata"] = meta
	}
	list, _ := meta["tags"].([]any)
	meta["tags"] = append(list, tag)
}

// Metadata returns the entry of that name of the cell's metadata as decoded
// JSON, nil where there is none.
func (c *Cell) Metadata(name string) any {
	m, _ := c.raw["metadata"].(map[string]any)
	return m[name]
}

// DropMetadata removes an entry of the cell's metadata.
func (c *Cell) DropMetadata(name string) {
	if m, ok := c.raw["metadata"].(map[string]any); ok {
		delete(m, name)
	}
}

// ExecutionCount returns the number the cell had when it ran, 0 for none.
func (c *Cell) ExecutionCount() int {
	n, _ := c.raw["execution_count"].(json.Number)
	i, _ := strconv.Atoi(n.String())
	return i
}

// SetExecutionCount sets the number; 0 removes it.
func (c *Cell) SetExecutionCount(n int) {
	if n == 0 {
		c.raw["execution_count"] = nil
		return
	}
	c.raw["execution_count"] = json.Number(strconv.Itoa(n))
}

// Attachment returns a file kept inside a Markdown cell, in base64.
func (c *Cell) Attachment(name string) (mime, data string, ok bool) {
	all, _ := c.raw["attachments"].(map[string]any)
	forms, _ := all[name].(map[string]any)
	for mime, v := range forms {
		if s := joined(v); s != "" {
			return mime, s, true
		}
	}
	return "", "", false
}

// joined reads text that may be a string or a list of lines.
func joined(v any) string {
	switch v := v.(type) {
	case string:
		return v
	case []any:
		var b strings.Builder
		for _, line := range v {
			s, _ := line.(string)
			b.WriteString(s)
		}
		return b.String()
	}
	return ""
}

// splitLines writes text as a list of lines, each with its line feed.
func splitLines(s string) []any {
	lines := []any{}
	for line := range strings.Lines(s) {
		lines = append(lines, line)
	}
	return lines
}

func heading(markdown string) string {
	for line := range strings.Lines(markdown) {
		if text, ok := strings.CutPrefix(strings.TrimSpace(line), "#"); ok {
			return strings.TrimSpace(strings.TrimLeft(text, "#"))
		}
	}
	return ""
}
