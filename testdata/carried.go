// Package testdata holds the demo and the packs, for the program to carry.
package testdata

import "embed"

// Demo is the folder demo: the logs of an invented car, its campaign file and
// the truth that they were made from.
//
//go:embed demo
var Demo embed.FS

// Packs is the folder packs: the workshop's campaigns, an archive each. They
// are made by
//
//	go run ./pkg/internal/judge/write -kind pack -o testdata/packs
//
//go:embed packs/*.zip
var Packs embed.FS
