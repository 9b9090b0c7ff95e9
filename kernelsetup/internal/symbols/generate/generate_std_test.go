//go:build proof

package main

import "testing"

// The tables of the standard library are those that generate writes: six
// platforms are read from source, which takes half a minute.
func TestStdUpToDate(t *testing.T) { upToDate(t, "std") }
