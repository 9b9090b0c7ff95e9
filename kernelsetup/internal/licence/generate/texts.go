package main

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/licence"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols/packed"
)

var (
	textName   = regexp.MustCompile(`(?i)^(un)?(licen[cs]e|copying|copyright|notice|patents)([-_.].*)?$|[-_.]licen[cs]e(\.\w+)?$`)
	folderName = regexp.MustCompile(`(?i)^(third[-_]party[-_])?licen[cs]es$`)
)

// chosen tells which licence is used where a module offers a choice, and which
// files of it are left out then.
var chosen = map[string]struct{ kind, without string }{
	"github.com/golang/freetype": {"FTL", "gpl.txt"},
}

// entry reads the licence texts of a module. It returns an error that names
// the module where there is none, or one that the program may not carry.
func (m *module) entry() (packed.Entry, error) {
	files, err := m.textFiles()
	if err != nil {
		return packed.Entry{}, err
	}
	if len(files) == 0 {
		return packed.Entry{}, fmt.Errorf("module %s %s has no licence text in %s", m.path, m.version, m.dir)
	}
	var all strings.Builder
	var kinds []string
	add := func(name, text string) error {
		if !utf8.ValidString(text) { // some are older than UTF-8
			latin, err := charmap.Windows1252.NewDecoder().String(text)
			if err != nil {
				return fmt.Errorf("module %s %s, %s: %w", m.path, m.version, name, err)
			}
			text = latin
		}
		found, err := kindsOf(text)
		if c, ok := chosen[m.path]; ok && slices.Contains(found, c.kind) {
			found, err = []string{c.kind}, nil
		}
		if err != nil {
			return fmt.Errorf("module %s %s, %s: %w", m.path, m.version, name, err)
		}
		kinds = append(kinds, found...)
		fmt.Fprintf(&all, "---- %s ----\n\n%s\n\n", name, strings.Trim(text, "\n"))
		return nil
	}
	for _, f := range files {
		text, err := os.ReadFile(f)
		if err != nil {
			return packed.Entry{}, err
		}
		name, err := filepath.Rel(m.dir, f)
		if err != nil {
			return packed.Entry{}, err
		}
		if err := add(filepath.ToSlash(name), strings.ReplaceAll(string(text), "\r\n", "\n")); err != nil {
			return packed.Entry{}, err
		}
	}
	if m.path != licence.Program {
		notices, err := m.notices()
		if err != nil {
			return packed.Entry{}, err
		}
		for _, n := range notices {
			if err := add("in "+n.file, n.text); err != nil {
				return packed.Entry{}, err
			}
		}
	}
	slices.Sort(kinds)
	return packed.Entry{
		Key:        m.path,
		Attributes: []string{m.version, strings.Join(slices.Compact(kinds), " AND ")},
		Data:       []byte(all.String()),
	}, nil
}

// textFiles lists the licence files that hold for what is compiled: those in
// the folders of its packages and above, and in folders of licences.
func (m *module) textFiles() ([]string, error) {
	var files []string
	for dir := range m.folders {
		list, err := os.ReadDir(dir)
		if err != nil {
			return nil, err
		}
		for _, f := range list {
			path := filepath.Join(dir, f.Name())
			switch {
			case f.IsDir() && dir == m.dir && folderName.MatchString(f.Name()):
				inside, err := os.ReadDir(path)
				if err != nil {
					return nil, err
				}
				for _, g := range inside {
					if c := chosen[m.path]; c.without == "" || g.Name() != c.without {
						files = append(files, filepath.Join(path, g.Name()))
					}
				}
			case f.Type().IsRegular() && textName.MatchString(f.Name()) && filepath.Ext(f.Name()) != ".go":
				files = append(files, path)
			}
		}
	}
	slices.SortFunc(files, func(a, b string) int {
		if d := strings.Count(a, "/") - strings.Count(b, "/"); d != 0 {
			return d
		}
		return strings.Compare(a, b)
	})
	return files, nil
}
