// Package workshop holds what makes a machine a server for a class, for the
// program to carry, and the scripts that try it on a machine that is thrown away.
package workshop

import _ "embed"

// Server is the script that turns a fresh Debian into that server.
//
//go:embed server.sh
var Server []byte
