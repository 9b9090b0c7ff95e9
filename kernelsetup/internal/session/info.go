package session

import (
	"runtime"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/protocol"
)

// info describes the kernel and its language. It claims no feature that is
// not there: no debugger, no subshells.
func (k *Kernel) info() map[string]any {
	version := k.opt.Version
	if version == "" {
		version = "0.0.0"
	}
	return map[string]any{
		"status":                 "ok",
		"protocol_version":       protocol.ProtocolVersion,
		"implementation":         "bonnetbook",
		"implementation_version": version,
		"language_info": map[string]any{
			"name":               "go",
			"version":            strings.TrimPrefix(runtime.Version(), "go"),
			"mimetype":           "text/x-go",
			"file_extension":     ".go",
			"pygments_lexer":     "go",
			"codemirror_mode":    "text/x-go",
			"nbconvert_exporter": "script",
		},
		"banner":             "Go, cell by cell. The last expression of a cell is shown.",
		"debugger":           false,
		"supported_features": []string{},
		"help_links": []map[string]string{
			{"text": "The Go specification", "url": "https://go.dev/ref/spec"},
			{"text": "Go packages", "url": "https://pkg.go.dev"},
		},
	}
}
