package source

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"github.com/bonnetbook/bonnetbook/internal/pathname"
	"github.com/bonnetbook/bonnetbook/pkg/recording/account"
)

// Limits on what is unpacked: text packs ten times or better, so that a small
// file may hold much.
const (
	maxUnpacked = 256 << 20 // bytes held in memory
	deepest     = 4         // archives in each other
	maxListed   = 1 << 30   // bytes unpacked to list archives in archives
	mostEntries = 10_000    // files listed of an archive
)

const (
	gzipMagic = "\x1f\x8b"
	zipMagic  = "PK\x03\x04"
)

// archive is a file of files.
type archive interface {
	// names lists those that are somebody's.
	names() ([]string, error)
	// open opens one.
	open(name string) (io.ReadCloser, error)
}

// unpacked returns what a packed file holds: the file within a gzip file, or
// the only one in an archive, also where that is packed again. Any other file,
// workbooks too, is returned as it is.
func unpacked(s *Source, depth int) (*Source, error) {
	if depth > deepest {
		return nil, s.Fail(fmt.Sprintf("is packed more than %d times", deepest), "unpack it first", account.ErrLimit)
	}
	if inner, err := s.gunzip(); err != nil {
		return nil, err
	} else if inner != s {
		return unpacked(inner, depth+1)
	}
	a := s.archive()
	if a == nil {
		return s, nil
	}
	names, err := a.names()
	switch {
	case err != nil:
		return nil, s.Fail("is a damaged archive: "+err.Error(), "copy it again", account.ErrNotText)
	case len(names) != 1:
		return nil, s.Fail(fmt.Sprintf("is an archive of %d files", len(names)), fmt.Sprintf("name one of them behind its own name, as %s", path.Join(filepath.ToSlash(s.Path), first(names))), account.ErrNotText)
	}
	inner, err := s.within(a, names[0])
	if err != nil {
		return nil, err
	}
	return unpacked(inner, depth+1)
}

// gunzip holds what a gzip file packs; any other is returned as it is.
func (s *Source) gunzip() (*Source, error) {
	if !bytes.HasPrefix(s.Head, []byte(gzipMagic)) {
		return s, nil
	}
	z, err := gzip.NewReader(io.NewSectionReader(s.R, 0, s.Size))
	if err != nil {
		return nil, s.Fail("is a damaged gzip file: "+err.Error(), "copy it again from the device", account.ErrNotText)
	}
	return s.hold(s.Path, z)
}

// archive returns the file as an archive, nil where it is none or a workbook.
func (s *Source) archive() archive {
	switch {
	case bytes.HasPrefix(s.Head, []byte(zipMagic)):
		z, err := zip.NewReader(s.R, s.Size)
		if err != nil || slices.ContainsFunc(z.File, isWorkbook) {
			return nil // a workbook, or for the reader of workbooks to refuse
		}
		return zipped{z}
	case isTar(s.Head):
		return tape{io.NewSectionReader(s.R, 0, s.Size)}
	}
	return nil
}

// isTar reports whether a file is a tar archive (POSIX.1-1988, the magic of a
// header, which GNU's writes with blanks).
func isTar(head []byte) bool { return len(head) > 262 && string(head[257:262]) == "ustar" }

// isWorkbook reports whether a file is part of a workbook, Office Open XML or OpenDocument.
func isWorkbook(f *zip.File) bool {
	return f.Name == "[Content_Types].xml" || f.Name == "content.xml" || strings.HasPrefix(f.Name, "xl/")
}

func first(names []string) string {
	if len(names) == 0 {
		return "log.csv"
	}
	return names[0]
}

// isOwn reports whether a file in an archive is somebody's, not a system's.
func isOwn(name string) bool {
	return !strings.HasPrefix(path.Base(name), ".") && !strings.HasPrefix(name, "__MACOSX/") && !strings.Contains(name, `\`) && fs.ValidPath(name)
}

// zipped is a zip archive.
type zipped struct{ *zip.Reader }

func (z zipped) names() ([]string, error) {
	var names []string
	for _, f := range z.File {
		if f.FileInfo().Mode().IsRegular() && isOwn(f.Name) {
			names = append(names, f.Name)
		}
	}
	return names, nil
}

func (z zipped) open(name string) (io.ReadCloser, error) { return z.Open(name) }

// tape is a tar archive.
type tape struct{ *io.SectionReader }

// each calls f with every file that is somebody's until it returns false.
func (t tape) each(f func(name string, r io.Reader) bool) error {
	r := tar.NewReader(io.NewSectionReader(t, 0, t.Size()))
	for n := 0; ; n++ {
		h, err := r.Next()
		switch {
		case err == io.EOF:
			return nil
		case err != nil:
			return err
		case n == mostEntries:
			return fmt.Errorf("it holds more than %d files: %w", mostEntries, account.ErrLimit)
		}
		if name := path.Clean(h.Name); h.Typeflag == tar.TypeReg && isOwn(name) && !f(name, r) {
			return nil
		}
	}
}

func (t tape) names() ([]string, error) {
	var names []string
	err := t.each(func(name string, _ io.Reader) bool {
		names = append(names, name)
		return true
	})
	return names, err
}

func (t tape) open(name string) (io.ReadCloser, error) {
	var found io.Reader
	err := t.each(func(n string, r io.Reader) bool {
		if n == name {
			found = r
		}
		return found == nil
	})
	if err == nil && found == nil {
		err = fs.ErrNotExist
	}
	return io.NopCloser(found), err
}

// within opens a file of the archive.
func (s *Source) within(a archive, name string) (*Source, error) {
	f, err := a.open(name)
	if errors.Is(err, fs.ErrNotExist) {
		names, _ := a.names()
		return nil, s.Fail(fmt.Sprintf("has no file %q in it; it has %q", name, names), "correct the name", fs.ErrNotExist)
	}
	if err != nil {
		return nil, s.Fail(fmt.Sprintf("is an archive whose file %q can't be unpacked: %v", name, err), "copy it again", account.ErrNotText)
	}
	defer f.Close()
	return s.hold(path.Join(filepath.ToSlash(s.Path), name), f)
}

// hold reads what is packed into memory.
func (s *Source) hold(name string, r io.Reader) (*Source, error) {
	held, err := io.ReadAll(io.LimitReader(r, maxUnpacked+1))
	switch {
	case err != nil:
		return nil, s.Fail("can't be unpacked: "+err.Error(), "copy it again from the device", account.ErrNotText)
	case len(held) > maxUnpacked:
		return nil, s.Fail(fmt.Sprintf("holds more than %d MB and can't be read in pieces", maxUnpacked>>20), "unpack it into a file and open that", account.ErrLimit)
	}
	return plain(name, bytes.NewReader(held), int64(len(held)))
}

// endings are those of files of files.
var endings = []string{".zip", ".tar", ".tar.gz", ".tgz"}

// IsArchive reports whether a file is called as archives are.
func IsArchive(name string) bool {
	return slices.ContainsFunc(endings, func(e string) bool { return len(name) > len(e) && strings.EqualFold(name[len(name)-len(e):], e) })
}

// Within splits the name of a file in an archive into that of the archive and
// the rest; ok is false where it names none. The archive must be there.
func Within(name string) (archive, inner string, ok bool) {
	slashed := filepath.ToSlash(pathname.Expand(name))
	for at, c := range slashed {
		if c == '/' && IsArchive(slashed[:at]) {
			if info, err := os.Stat(slashed[:at]); err == nil && info.Mode().IsRegular() {
				return slashed[:at], slashed[at+1:], true
			}
		}
	}
	return "", "", false
}

// openWithin opens a file of an archive, or of one in it.
func openWithin(name, inner string) (*Source, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	s, err := opened(name, f)
	if err != nil {
		return nil, err
	}
	s, err = s.find(inner, 0)
	if err != nil {
		return nil, err
	}
	return unpacked(s, 1)
}

// opened looks at an archive's first bytes, and into it where it is packed.
func opened(name string, f *os.File) (*Source, error) {
	info, err := f.Stat()
	if err != nil {
		return nil, err
	}
	s, err := plain(name, f, info.Size())
	if err != nil {
		return nil, err
	}
	return s.gunzip()
}

// find opens the file of a name, which may begin with that of an archive
// within this one.
func (s *Source) find(name string, depth int) (*Source, error) {
	a := s.archive()
	if a == nil || depth == deepest {
		return nil, s.Fail("is a damaged archive", "copy it again", account.ErrNotText)
	}
	for at, c := range name {
		if c != '/' || !IsArchive(name[:at]) {
			continue
		}
		names, err := a.names()
		if err != nil || !slices.Contains(names, name[:at]) {
			continue // a folder that is called so
		}
		inner, err := s.within(a, name[:at])
		if err == nil {
			inner, err = inner.gunzip()
		}
		if err != nil {
			return nil, err
		}
		return inner.find(name[at+1:], depth+1)
	}
	return s.within(a, name)
}

// Entries lists the files of an archive and of those in it, as they are named
// behind its name. It fails where it can't be read as one.
func Entries(name string) ([]string, error) {
	name = pathname.Expand(name)
	fail := func(err error) ([]string, error) {
		return nil, &account.FileError{File: name, Found: "can't be read as an archive: " + err.Error(), Do: "copy it again", Err: account.ErrNotText}
	}
	f, err := os.Open(name)
	if err != nil {
		return fail(err)
	}
	defer f.Close()
	s, err := opened(name, f)
	if err != nil {
		return fail(err)
	}
	a := s.archive()
	if a == nil {
		return fail(zip.ErrFormat)
	}
	left := int64(maxListed)
	names, err := s.list(a, 0, &left)
	if err != nil {
		return fail(err)
	}
	return names, nil
}

// list names the files of an archive; those of an archive in it in its place.
// One that can't be read, or for which nothing is left of the bytes that may be
// unpacked for a list, is listed itself: opening it says why.
func (s *Source) list(a archive, depth int, left *int64) ([]string, error) {
	names, err := a.names()
	var all []string
	for _, n := range names {
		within := s.listWithin(a, n, depth, left)
		if len(within) == 0 {
			all = append(all, n)
		}
		for _, w := range within {
			all = append(all, n+"/"+w)
		}
		if len(all) > mostEntries {
			return nil, fmt.Errorf("it holds more than %d files: %w", mostEntries, account.ErrLimit)
		}
	}
	return all, err
}

// listWithin names the files of an archive within one; none where it is no
// archive or can't be read.
func (s *Source) listWithin(a archive, name string, depth int, left *int64) []string {
	if !IsArchive(name) || depth == deepest || *left < 0 {
		return nil
	}
	inner, err := s.within(a, name)
	if err == nil {
		inner, err = inner.gunzip()
	}
	if err != nil {
		return nil
	}
	*left -= inner.Size
	b := inner.archive()
	if b == nil {
		return nil
	}
	names, _ := inner.list(b, depth+1, left)
	return names
}
