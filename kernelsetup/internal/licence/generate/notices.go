package main

import (
	"go/parser"
	"go/token"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
)

// A notice is a comment in a source file that grants a licence by itself.
type notice struct{ file, text string }

var grants = regexp.MustCompile(`(?i)permission\s+(is\s+hereby|to\s+use)|redistribution\s+and\s+use|licen[cs]ed\s+under\s+(a|the)\s|SPDX-License-Identifier|general\s+public\s+licen|mozilla\s+public`)

// notices lists the distinct ones of the module's compiled Go files.
func (m *module) notices() ([]notice, error) {
	var all []notice
	seen := map[string]bool{}
	for _, path := range slices.Sorted(maps.Keys(m.files)) {
		source, err := os.ReadFile(path)
		if err != nil {
			return nil, err
		}
		if filepath.Ext(path) != ".go" || !grants.Match(source) {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), path, source, parser.ParseComments|parser.SkipObjectResolution)
		if err != nil {
			return nil, err
		}
		for _, c := range file.Comments {
			text := c.Text()
			for _, line := range c.List { // Text leaves directives out
				if len(line.Text) > 7 && line.Text[:7] == "//SPDX-" {
					text += line.Text
				}
			}
			if !grants.MatchString(text) || seen[text] {
				continue
			}
			seen[text] = true
			name, err := filepath.Rel(m.dir, path)
			if err != nil {
				return nil, err
			}
			all = append(all, notice{filepath.ToSlash(name), text})
		}
	}
	return all, nil
}
