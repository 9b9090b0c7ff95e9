package recording

import "github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"

// ArchiveEntries lists the files of a zip archive. [Open] takes each by the
// archive's path, a slash and the name given here; the archive's path alone
// where there is only one. It fails where the file can't be read as an archive.
func ArchiveEntries(path string) ([]string, error) { return source.Entries(path) }

// WithinArchive splits the path of a file in a zip archive into the archive's
// path and the name within; ok is false for any other path.
func WithinArchive(path string) (archive, name string, ok bool) { return source.Within(path) }
