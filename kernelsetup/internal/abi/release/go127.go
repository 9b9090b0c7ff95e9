//go:build go1.27 && !go1.28

package release

// Name is the Go release without its patch number.
const Name = "1.27"
