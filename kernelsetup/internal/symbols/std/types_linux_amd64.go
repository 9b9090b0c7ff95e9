package std

import _ "embed"

//go:embed types_linux_amd64.bin
var platformTypes string
