package std

import _ "embed"

//go:embed types_windows_amd64.bin
var platformTypes string
