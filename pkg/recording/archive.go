package recording

import "github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"

// IsArchive reports whether a file is called as archives are that are read here:
// .zip, .tar, .tar.gz and .tgz.
func IsArchive(name string) bool { return source.IsArchive(name) }

// ArchiveEntries lists the files of an archive, and those of archives in it.
// [Open] takes each by the archive's path, a slash and the name given here; the
// archive's path alone where there is only one. It fails where the file can't be
// read as an archive.
func ArchiveEntries(path string) ([]string, error) { return source.Entries(path) }

// WithinArchive splits the path of a file in an archive into the archive's
// path and the name within; ok is false for any other path.
func WithinArchive(path string) (archive, name string, ok bool) { return source.Within(path) }
