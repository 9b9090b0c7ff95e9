package main

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"go/format"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols/packed"
)

// A collection is what one toolchain says of a set.
type collection struct {
	release goRelease
	// Files holds the Go files without their header, by name without
	// extension; each declares the same names in every release.
	Files map[string][]byte
	// Differing holds those that each platform has for itself.
	Differing []map[string][]byte
	// Types holds type data and source texts for each of the platforms (for
	// the first alone in sets that are the same everywhere).
	Types [][]packed.Entry
	Docs  []packed.Entry
}

// merge makes the files of a set: what all releases share once, what differs
// once for each.
func merge(set string, all []*collection) (map[string][]byte, error) {
	files := make(map[string][]byte)
	if err := mergeGo(set, all, func(c *collection) map[string][]byte { return c.Files }, "", files); err != nil {
		return nil, err
	}
	if set == "std" {
		for i, p := range platforms {
			suffix := "_" + p.os + "_" + p.arch
			if err := mergeGo(set, all, func(c *collection) map[string][]byte { return c.Differing[i] }, suffix, files); err != nil {
				return nil, err
			}
		}
	}
	everywhere := func(lists ...[]packed.Entry) func(packed.Entry) bool {
		seen := make(map[[sha256.Size]byte]int)
		for _, list := range lists {
			for _, e := range list {
				seen[fingerprint(e)]++
			}
		}
		return func(e packed.Entry) bool { return seen[fingerprint(e)] == len(lists) }
	}
	var lists, docs [][]packed.Entry
	for _, c := range all {
		lists = append(lists, c.Types...)
		docs = append(docs, c.Docs)
	}
	w := archiveWriter{files: files}
	common, commonDocs := everywhere(lists...), everywhere(docs...)
	w.write("types.bin", all[0].Types[0], common)
	w.write("docs.bin", all[0].Docs, commonDocs)
	if set == "std" {
		for _, c := range all {
			inRelease := everywhere(c.Types...)
			w.write("types"+c.release.suffix()+".bin", c.Types[0], func(e packed.Entry) bool { return inRelease(e) && !common(e) })
			w.write("docs"+c.release.suffix()+".bin", c.Docs, func(e packed.Entry) bool { return !commonDocs(e) })
			for i, p := range platforms {
				w.write("types"+c.release.suffix()+"_"+p.os+"_"+p.arch+".bin", c.Types[i], func(e packed.Entry) bool { return !inRelease(e) && !common(e) })
			}
			embeds(set, c.release, files)
		}
	}
	return files, w.err
}

// mergeGo writes a Go file once where the releases agree, else with a build
// constraint for each. The end of its name is that of a platform's files.
func mergeGo(set string, all []*collection, of func(*collection) map[string][]byte, end string, files map[string][]byte) error {
	names := make(map[string]bool)
	for _, c := range all {
		for name := range of(c) {
			names[name] = true
		}
	}
	for _, name := range sortedKeys(names) {
		same := !slices.ContainsFunc(all, func(c *collection) bool { return !bytes.Equal(of(c)[name], of(all[0])[name]) })
		for i, c := range all {
			body, ok := of(c)[name]
			if !ok || same && i > 0 {
				continue
			}
			head, suffix := header, ""
			if !same {
				head, suffix = header+"//go:build "+c.release.constraint()+"\n\n", c.release.suffix()
			}
			text, err := format.Source(append([]byte(head+"package "+set+"\n\n"), body...))
			if err != nil {
				return fmt.Errorf("%s: %w", name, err)
			}
			files[name+suffix+end+".go"] = text
		}
	}
	return nil
}

// embeds writes the Go files that embed a release's archives.
func embeds(set string, r goRelease, files map[string][]byte) {
	head := header + "//go:build " + r.constraint() + "\n\npackage " + set + "\n\nimport _ \"embed\"\n\n"
	files["zz_embed"+r.suffix()+".go"] = []byte(head + fmt.Sprintf("//go:embed types%[1]s.bin\nvar releaseTypes string\n\n//go:embed docs%[1]s.bin\nvar releaseDocs string\n", r.suffix()))
	for _, p := range platforms {
		name := r.suffix() + "_" + p.os + "_" + p.arch
		files["zz_embed"+name+".go"] = []byte(head + fmt.Sprintf("//go:embed types%s.bin\nvar platformTypes string\n", name))
	}
}

// An archiveWriter writes archives and keeps the first error.
type archiveWriter struct {
	files map[string][]byte
	err   error
}

func (w *archiveWriter) write(name string, entries []packed.Entry, keep func(packed.Entry) bool) {
	var kept []packed.Entry
	for _, e := range entries {
		if keep(e) {
			kept = append(kept, e)
		}
	}
	data, err := packed.Write(kept)
	if err != nil && w.err == nil {
		w.err = fmt.Errorf("%s: %w", name, err)
	}
	w.files[name] = data
}

func fingerprint(e packed.Entry) [sha256.Size]byte {
	return sha256.Sum256([]byte(e.Key + "\n" + strings.Join(e.Attributes, ",") + "\n" + string(e.Data)))
}
