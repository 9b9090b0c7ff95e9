// Package campaign reads the one file that describes a comparison: the car,
// its engine, the configurations, the devices and the drives.
//
// The file is TOML. Everything in it is checked when it is opened, and every
// problem is told at once, each with its file, line and key, what was found,
// what is allowed and, for a misspelt name, the nearest one that exists.
// Quantities are strings with a unit, "1050 kg", so that no number is ever
// read in a unit that its writer did not mean.
//
//	c, err := campaign.Open("demo/campaign.toml")
//	d, err := c.Drive("open filters, first run")
//
// [Sketch] starts such a file from a folder of logs.
package campaign
