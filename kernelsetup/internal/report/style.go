package report

import _ "embed"

//go:embed style.css
var style string
