package std

import _ "embed"

//go:embed types_linux_arm64.bin
var platformTypes string
