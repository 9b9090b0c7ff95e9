package dates

import (
	"path/filepath"
	"regexp"
	"strconv"
)

// inName matches a date in a file's name.
var inName = regexp.MustCompile(`(20[0-9]{2})([-_.]?)(0[1-9]|1[0-2])([-_.]?)([0-3][0-9])`)

// InName returns the date in the name of a file, and that it stands there; where is
// empty for none.
func InName(path string) (y, m, day int64, where string) {
	f := inName.FindStringSubmatch(filepath.Base(path))
	if f == nil || f[2] != f[4] {
		return 0, 0, 0, ""
	}
	y, _ = strconv.ParseInt(f[1], 10, 64)
	m, _ = strconv.ParseInt(f[3], 10, 64)
	day, _ = strconv.ParseInt(f[5], 10, 64)
	return y, m, day, "the file's name"
}
