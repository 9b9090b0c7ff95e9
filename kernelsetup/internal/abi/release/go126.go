//go:build go1.26 && !go1.27

package release

// Name is the Go release without its patch number.
const Name = "1.26"
