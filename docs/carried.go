// Package docs holds what the course takes along of the documents.
package docs

import "embed"

// Carried are the glossary, the guide for those who teach, and the script that
// makes a server for a class.
//
//go:embed GLOSSARY.md TEACHING.md server.sh
var Carried embed.FS
