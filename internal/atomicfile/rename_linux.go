package atomicfile

import "golang.org/x/sys/unix"

// renameToNew renames a file in one step unless the new name is taken. Not
// every file system can.
func renameToNew(from, to string) error {
	return unix.Renameat2(unix.AT_FDCWD, from, unix.AT_FDCWD, to, unix.RENAME_NOREPLACE)
}
