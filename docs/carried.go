// Package docs holds what the course takes along of the documents.
package docs

import "embed"

// Carried are the glossary and the guide for those who teach.
//
//go:embed GLOSSARY.md TEACHING.md
var Carried embed.FS
