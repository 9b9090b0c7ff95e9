// Package chart draws drives, evidence and comparisons: it makes the scenes that
// package scene draws. It computes nothing: what it shows was worked out
// elsewhere.
//
// A cell shows a figure as a picture to explore; Save writes it as PNG or SVG.
// Lines differ in colour and dash, so that they can be told apart without
// colour. The hues are those of Okabe and Ito, "Color Universal Design" (2008),
// chosen to be told apart by colour-blind readers.
package chart

import (
	"image/color"

	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/segment"
)

func rgb(hex uint32) color.NRGBA {
	return color.NRGBA{uint8(hex >> 16), uint8(hex >> 8), uint8(hex), 255}
}

// The hues of Okabe and Ito, the light ones darkened until they stand out from
// white by 3 to 1.
var (
	black     = rgb(0x000000)
	orange    = rgb(0xA86F00)
	skyBlue   = rgb(0x3388C0)
	green     = rgb(0x008763)
	blue      = rgb(0x0072B2)
	vermilion = rgb(0xC24E00)
	purple    = rgb(0xB5568C)
	grey      = rgb(0x707070)
)

// sequence is the order in which unnamed lines take their looks.
var sequence = []Style{
	{Color: blue}, {Color: vermilion, Dash: []float64{6, 2}}, {Color: green, Dash: []float64{2, 2}},
	{Color: purple, Dash: []float64{8, 2, 2, 2}}, {Color: orange}, {Color: skyBlue, Dash: []float64{6, 2}},
	{Color: black, Dash: []float64{2, 2}},
}

// Look returns the i-th look for lines that have no role of their own.
func Look(i int) Style { return sequence[i%len(sequence)] }

var roleStyles = map[drive.Role]Style{
	drive.Ambient:      {Color: skyBlue, Width: 1.6},
	drive.Intake:       {Color: blue, Width: 2},
	drive.EngineBay:    {Color: orange, Dash: []float64{6, 2}, Width: 1.4},
	drive.TopTank:      {Color: vermilion, Width: 1.4},
	drive.BottomTank:   {Color: vermilion, Dash: []float64{2, 2}, Width: 1.2},
	drive.Coolant:      {Color: black, Width: 1.2},
	drive.RadiatorAir:  {Color: purple, Dash: []float64{6, 2}, Width: 1.2},
	drive.CylinderHead: {Color: green, Width: 1.4},
	drive.Oil:          {Color: green, Dash: []float64{6, 2}, Width: 1.4},
	drive.Speed:        {Color: black, Width: 1},
	drive.EngineSpeed:  {Color: green, Width: 1},
}

// kindColors are told apart by readers of every kind of colour vision: a test
// has the distances.
var kindColors = map[segment.Kind]color.NRGBA{
	segment.Stopped:      {0x4A, 0x4A, 0x4A, 45},
	segment.StopAndGo:    {0xB0, 0x7A, 0x00, 45},
	segment.Steady:       {0x00, 0x87, 0x63, 32},
	segment.OpenRoad:     {0x5B, 0x8D, 0xEF, 40},
	segment.FullThrottle: {0xA0, 0x1C, 0x1C, 70},
	segment.Brisk:        {0xC8, 0x5A, 0x9A, 55},
}

// Shades go from dark to light, so that their order shows without colours; the
// lightest still stands out from white, and readers of every kind of colour vision
// tell them apart, on dark pages as well: a test has the contrasts and distances.
var Shades = [...]color.NRGBA{
	rgb(0x110D2B), rgb(0x4D1A88), rgb(0x833289), rgb(0xC64573), rgb(0xE15544), rgb(0xD67E2A),
}

func withAlpha(c color.NRGBA, a uint8) color.NRGBA {
	c.A = a
	return c
}
