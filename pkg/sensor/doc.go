// Package sensor holds what is known about the thermometers: the type K
// thermocouple's reference function and its tolerances, the checks that can be
// done in a kitchen, the first-order lag of a probe and the radiation error of
// a bare bead.
//
// It knows nothing of cars, files or plots. Temperatures are [quantity.Temperature],
// series are in kelvin.
package sensor
