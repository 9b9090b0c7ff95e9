package recording

import (
	"errors"
	"regexp"
	"slices"

	"github.com/pelletier/go-toml/v2"
)

// Way is one of the ways in which a file can be read.
type Way struct {
	Recording *Recording
	// Asked is what the file leaves open, in the order in which it was asked;
	// empty where it can be read in one way only.
	Asked []Asked
}

// Asked is one thing that a file leaves open, and how it was answered to read
// it.
type Asked struct {
	*AmbiguousError
	// Key is the layout's key that settles it, "date_order"; Taken is the value
	// that was taken, and may be wrong.
	Key, Taken string
}

// setting matches a setting that a layout can hold on one line.
var setting = regexp.MustCompile(`^([a-z_]+) = "([^"]+)"$`)

// maxAsked is how much one file may leave open.
const maxAsked = 4

// OpenWays reads a file as [Open] does; where the file leaves its layout open
// it is read as if that had been answered, an open order of dates in each way
// and anything else in the likelier one, and each result says what was open.
// There is at least one. It fails as Open does where the file can't be read in
// any way.
func OpenWays(path string, opts Options) ([]Way, error) {
	return openWays(path, opts, nil)
}

func openWays(path string, opts Options, asked []Asked) ([]Way, error) {
	r, err := Open(path, opts)
	if err == nil {
		return []Way{{r, asked}}, nil
	}
	var open *AmbiguousError
	if !errors.As(err, &open) || len(asked) >= maxAsked {
		return nil, err
	}
	var all []Way
	for _, reading := range open.Readings {
		m := setting.FindStringSubmatch(reading.Setting)
		answered := opts
		answered.Layout.Columns = slices.Clone(opts.Layout.Columns)
		if m == nil || toml.Unmarshal([]byte(reading.Setting), &answered.Layout) != nil {
			return nil, err
		}
		more := append(slices.Clip(asked), Asked{open, m[1], m[2]})
		if found, failed := openWays(path, answered, more); failed == nil {
			all = append(all, found...)
		}
		if m[1] != "date_order" && len(all) > 0 {
			break
		}
	}
	if len(all) == 0 {
		return nil, err
	}
	return all, nil
}
