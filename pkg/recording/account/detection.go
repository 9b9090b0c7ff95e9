package account

import (
	"strings"
)

// Detection explains how a file was read, one finding at a time.
type Detection struct {
	Findings []Finding
}

// Finding is one property of a file and the evidence for it.
type Finding struct {
	Property string // the layout's key: "delimiter", "date_order"
	Value    string // what was found: "semicolon", "day first"
	Reason   string // why: "line 14 has 25/03"; "layout" where it was given
}

// String returns the findings in one line:
// "semicolon; decimal comma; day first because line 14 has 25/03".
func (d Detection) String() string {
	var parts []string
	for _, f := range d.Findings {
		s := f.Value
		if f.Reason != "" {
			s += " (" + f.Reason + ")"
		}
		parts = append(parts, s)
	}
	return strings.Join(parts, "; ")
}
