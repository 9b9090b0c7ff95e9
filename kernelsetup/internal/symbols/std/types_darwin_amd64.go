package std

import _ "embed"

//go:embed types_darwin_amd64.bin
var platformTypes string
