package std

import _ "embed"

//go:embed types_darwin_arm64.bin
var platformTypes string
