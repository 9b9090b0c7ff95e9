package main

import (
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/licence"
)

// What is compiled for this system has its text in the program, at the version
// that is compiled; collect fails for a module without a text or of copyleft.
func TestEveryModuleHasItsText(t *testing.T) {
	root, err := moduleRoot()
	if err != nil {
		t.Fatal(err)
	}
	entries, err := collect(root, []string{runtime.GOOS + "/" + runtime.GOARCH})
	if err != nil {
		t.Fatal(err)
	}
	carried := map[string]licence.Component{}
	for _, c := range licence.Components() {
		carried[c.Path] = c
	}
	for _, e := range entries {
		c, ok := carried[e.Key]
		text, err := licence.Text(e.Key)
		if !ok || err != nil || len(text) < 200 || c.Version != e.Attributes[0] || c.Kinds == "" {
			t.Errorf("%s %s: the program carries %+v with %d bytes, %v; run go generate ./kernelsetup/internal/licence",
				e.Key, e.Attributes[0], c, len(text), err)
		}
	}
	if len(entries) < 30 {
		t.Errorf("%d modules, want all of the program", len(entries))
	}
}

const mit = "Permission is hereby granted, free of charge, to any person obtaining\na copy of this software and associated documentation files"

// folder makes a module with one package of a file.
func folder(t *testing.T, files map[string]string) *module {
	t.Helper()
	dir := t.TempDir()
	m := &module{path: "example.org/m", version: "v1.0.0", dir: dir, folders: map[string]bool{dir: true}, files: map[string]bool{}}
	for name, text := range files {
		path := filepath.Join(dir, filepath.FromSlash(name))
		os.MkdirAll(filepath.Dir(path), 0o755)
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		if strings.HasSuffix(name, ".go") {
			m.files[path] = true
			m.folders[filepath.Dir(path)] = true
		}
	}
	return m
}

func TestEntry(t *testing.T) {
	source := "package m\n"
	for name, c := range map[string]struct {
		files map[string]string
		kinds string
		fails error // errMissing for any other
	}{
		"plain":             {map[string]string{"LICENSE": mit, "m.go": source}, "MIT", nil},
		"British spelling":  {map[string]string{"licence.md": mit, "m.go": source}, "MIT", nil},
		"beside a package":  {map[string]string{"LICENSE": mit, "in/COPYING": "Licensed under the Apache License, Version 2.0", "in/m.go": source}, "Apache-2.0 AND MIT", nil},
		"in a source file":  {map[string]string{"LICENSE": mit, "m.go": source + "\n/*\n * Permission to use, copy, modify, and distribute this software\n * for any purpose with or without fee\n */\nvar x int\n"}, "ISC AND MIT", nil},
		"of a third party":  {map[string]string{"LICENSE": mit, "THIRD_PARTY_LICENSES/a": "Boost Software License - Version 1.0", "m.go": source}, "BSL-1.0 AND MIT", nil},
		"not compiled":      {map[string]string{"LICENSE": mit, "tool/LICENSE": "GNU General Public License", "m.go": source}, "MIT", nil},
		"none":              {map[string]string{"README": mit, "m.go": source}, "", errMissing},
		"unknown":           {map[string]string{"LICENSE": "You may look at it.", "m.go": source}, "", errUnknown},
		"GPL":               {map[string]string{"LICENSE": "GNU GENERAL PUBLIC LICENSE\n Version 3", "m.go": source}, "", errCopyleft},
		"LGPL beside MIT":   {map[string]string{"LICENSE": mit, "COPYING.LESSER": "GNU Lesser General Public\nLicense", "m.go": source}, "", errCopyleft},
		"AGPL":              {map[string]string{"LICENSE": "GNU AFFERO GENERAL PUBLIC LICENSE", "m.go": source}, "", errCopyleft},
		"MPL":               {map[string]string{"LICENSE": "Mozilla Public License Version 2.0", "m.go": source}, "", errCopyleft},
		"GPL in the source": {map[string]string{"LICENSE": mit, "m.go": "// SPDX-License-Identifier: GPL-2.0\npackage m\n"}, "", errCopyleft},
		"GPL by directive":  {map[string]string{"LICENSE": mit, "m.go": "//SPDX-License-Identifier: LGPL-2.1\npackage m\n"}, "", errCopyleft},
	} {
		e, err := folder(t, c.files).entry()
		switch {
		case c.fails == errMissing:
			if err == nil || !strings.Contains(err.Error(), "no licence text") {
				t.Errorf("%s: %v, want that there is no text", name, err)
			}
		case !errors.Is(err, c.fails):
			t.Errorf("%s: %v, want %v", name, err, c.fails)
		case err == nil && !slices.Equal(e.Attributes, []string{"v1.0.0", c.kinds}):
			t.Errorf("%s: %q, want %q", name, e.Attributes, c.kinds)
		}
		if err != nil && !strings.Contains(err.Error(), "example.org/m v1.0.0") {
			t.Errorf("%s: %v does not name the module", name, err)
		}
	}
}

var errMissing = errors.New("no text")
