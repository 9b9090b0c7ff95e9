package notebooks

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// document reads a notebook with all that it holds, to write another one.
func document(t *testing.T, path string) (doc map[string]any) {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, &doc); err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	return doc
}

// codeCell is a cell as a notebook stores it.
func codeCell(id, source string) map[string]any {
	return map[string]any{"cell_type": "code", "id": id, "metadata": map[string]any{}, "source": source, "outputs": []any{}, "execution_count": nil}
}

// store writes a notebook of these cells.
func store(t *testing.T, path string, cells ...any) {
	t.Helper()
	data, err := json.Marshal(map[string]any{"nbformat": 4, "nbformat_minor": 5, "cells": cells,
		"metadata": map[string]any{"kernelspec": map[string]any{"name": "bonnetbook", "language": "go", "display_name": "Go"}}})
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
}

// widened writes a copy of a notebook with more cells behind each of its own
// into a folder from which it finds the demo, and returns its path.
func widened(t *testing.T, folder, path string, behind func(i int, c cell) []any) string {
	t.Helper()
	doc, cells := document(t, path), []any(nil)
	for i, c := range read(t, path).Cells {
		cells = append(append(cells, doc["cells"].([]any)[i]), behind(i, c)...)
	}
	doc["cells"] = cells
	data, err := json.Marshal(doc)
	if err != nil {
		t.Fatal(err)
	}
	// Notebooks name their files from ../testdata.
	root := filepath.Join(scratch, folder)
	for _, dir := range []string{filepath.Join(root, "notebooks"), filepath.Join(root, "ran")} {
		if err := os.MkdirAll(dir, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	testdata, err := filepath.Abs("../testdata")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(testdata, filepath.Join(root, "testdata")); err != nil && !os.IsExist(err) {
		t.Fatal(err)
	}
	copied := filepath.Join(root, "notebooks", path)
	if err := os.WriteFile(copied, data, 0o644); err != nil {
		t.Fatal(err)
	}
	return copied
}

// ranCopy runs what widened wrote. Cells may fail; which ones stands in the
// notebook, and why the program may have failed in what it said.
func ranCopy(t *testing.T, exe, folder, copied string) (ran file, said string) {
	t.Helper()
	out := filepath.Join(scratch, folder, "ran", filepath.Base(copied))
	text, _ := exec.Command(exe, "run", "-q", "-keep-going", "-timeout", "2m", "-o", out, copied).CombinedOutput()
	if _, err := os.Stat(out); err != nil {
		t.Fatalf("%s: %v\n%s", copied, err, text)
	}
	return read(t, out), string(text)
}

// ranIn runs a notebook beside the campaign in a folder, with the numbers at its
// top replaced, and judges it by the one that is stored.
func ranIn(t *testing.T, exe, dir, path string, replace ...string) file {
	t.Helper()
	here, out := filepath.Join(dir, filepath.Base(path)), filepath.Join(dir, "ran")+"/"
	adapted(t, path, here, replace...)
	run(t, limit, nil, exe, "run", "-q", "-keep-going", "-o", out, here)
	ran := read(t, filepath.Join(out, filepath.Base(path)))
	judge(t, path, ran)
	return ran
}
