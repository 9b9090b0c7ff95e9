// Package testdata holds the demo, for the program to carry.
package testdata

import "embed"

// Demo is the folder demo: the logs of an invented car, its campaign file and
// the truth that they were made from.
//
//go:embed demo
var Demo embed.FS
