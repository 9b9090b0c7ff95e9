package chart

import "github.com/bonnetbook/bonnetbook/pkg/scene"

// What a picture is made of; see package scene.
type (
	Figure     = scene.Figure
	Panel      = scene.Panel
	RightScale = scene.RightScale
	Line       = scene.Line
	Ribbon     = scene.Ribbon
	Points     = scene.Points
	Band       = scene.Band
	Marker     = scene.Marker
	Style      = scene.Style
	Axis       = scene.Axis
	Limits     = scene.Limits
)
