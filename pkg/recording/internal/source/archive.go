package source

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
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

// maxUnpacked is how much of a packed file is held in memory: text packs ten
// times or better, so that a small file may hold much.
const maxUnpacked = 256 << 20

const (
	gzipMagic = "\x1f\x8b"
	zipMagic  = "PK\x03\x04"
)

// unpacked returns what a packed file holds: the file within a gzip file, or
// the only one in a zip archive. Any other file, workbooks too, is returned as
// it is.
func unpacked(s *Source) (*Source, error) {
	switch {
	case bytes.HasPrefix(s.Head, []byte(gzipMagic)):
		z, err := gzip.NewReader(io.NewSectionReader(s.R, 0, s.Size))
		if err != nil {
			return nil, s.Fail("is a damaged gzip file: "+err.Error(), "copy it again from the device", account.ErrNotText)
		}
		return s.hold(s.Path, z)
	case bytes.HasPrefix(s.Head, []byte(zipMagic)):
		z, err := zip.NewReader(s.R, s.Size)
		if err != nil || slices.ContainsFunc(z.File, isWorkbook) {
			return s, nil // a workbook, or for the reader of workbooks to refuse
		}
		names := entries(z)
		if len(names) != 1 {
			return nil, s.Fail(fmt.Sprintf("is an archive of %d files", len(names)), fmt.Sprintf("name one of them behind its own name, as %s", path.Join(filepath.ToSlash(s.Path), first(names))), account.ErrNotText)
		}
		return s.within(z, names[0])
	}
	return s, nil
}

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

// entries lists the files of an archive that are somebody's.
func entries(z *zip.Reader) []string {
	var names []string
	for _, f := range z.File {
		base := path.Base(f.Name)
		if f.FileInfo().Mode().IsRegular() && !strings.HasPrefix(base, ".") && !strings.HasPrefix(f.Name, "__MACOSX/") && !strings.Contains(f.Name, `\`) && fs.ValidPath(f.Name) {
			names = append(names, f.Name)
		}
	}
	return names
}

// within opens a file of the archive.
func (s *Source) within(z *zip.Reader, name string) (*Source, error) {
	f, err := z.Open(name)
	if err != nil {
		return nil, s.Fail(fmt.Sprintf("has no file %q in it; it has %q", name, entries(z)), "correct the name", fs.ErrNotExist)
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

// Within splits the name of a file in an archive into that of the archive and
// the rest; ok is false where it names none. The archive must be there.
func Within(name string) (archive, inner string, ok bool) {
	slashed := filepath.ToSlash(pathname.Expand(name))
	at := strings.Index(strings.ToLower(slashed), ".zip/")
	if at < 0 {
		return "", "", false
	}
	archive, inner = slashed[:at+4], slashed[at+5:]
	info, err := os.Stat(archive)
	return archive, inner, err == nil && info.Mode().IsRegular()
}

// openWithin opens a file of an archive.
func openWithin(archive, inner string) (*Source, error) {
	f, err := os.Open(archive)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, err
	}
	s := &Source{Path: archive, R: f, Size: info.Size()}
	z, err := zip.NewReader(f, info.Size())
	if err != nil {
		return nil, s.Fail("is a damaged archive: "+err.Error(), "copy it again", account.ErrNotText)
	}
	return s.within(z, inner)
}

// Entries lists the files of an archive, as they are named behind its name. It
// fails where it can't be read as one.
func Entries(archive string) ([]string, error) {
	archive = pathname.Expand(archive)
	z, err := zip.OpenReader(archive)
	if err != nil {
		return nil, &account.FileError{File: archive, Found: "can't be read as an archive: " + err.Error(), Do: "copy it again", Err: account.ErrNotText}
	}
	defer z.Close()
	return entries(&z.Reader), nil
}
