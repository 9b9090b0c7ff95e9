// Package known holds the names of the formats that are read. A layout may
// name one of them, but must not depend on the rooms that read them.
package known

import "slices"

var formats []string

// Add makes a name known. It panics where it is known already: two formats
// can't share one.
func Add(format string) {
	if slices.Contains(formats, format) {
		panic("recording: format " + format + " is registered twice")
	}
	formats = append(formats, format)
}

// Formats lists the names in the order in which they were added.
func Formats() []string { return slices.Clone(formats) }
