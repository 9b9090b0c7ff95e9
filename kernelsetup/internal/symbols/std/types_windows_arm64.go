package std

import _ "embed"

//go:embed types_windows_arm64.bin
var platformTypes string
