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

// The Okabe–Ito colours.
var (
	black     = rgb(0x000000)
	orange    = rgb(0xE69F00)
	skyBlue   = rgb(0x56B4E9)
	green     = rgb(0x009E73)
	blue      = rgb(0x0072B2)
	vermilion = rgb(0xD55E00)
	purple    = rgb(0xCC79A7)
	grey      = rgb(0x777777)
	light     = rgb(0xDDDDDD)
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

var kindColors = map[segment.Kind]color.NRGBA{
	segment.Stopped:      {0x77, 0x77, 0x77, 60},
	segment.StopAndGo:    {0xE6, 0x9F, 0x00, 50},
	segment.Steady:       {0x00, 0x9E, 0x73, 45},
	segment.OpenRoad:     {0x56, 0xB4, 0xE9, 45},
	segment.FullThrottle: {0xD5, 0x5E, 0x00, 70},
}

func withAlpha(c color.NRGBA, a uint8) color.NRGBA {
	c.A = a
	return c
}
