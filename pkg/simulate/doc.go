// Package simulate is an engine bay with a known truth. A lumped thermal
// model (coolant, thermostat, radiator, bay air, hot metal, duct) is driven
// along a route, read by probes that lag and see radiation, and written by
// loggers that have offsets, coarse steps, wrong clocks and faults.
//
// It serves two ends: the demo, and tests that ask whether an analysis
// recovers a truth that is known. It is no proof of any physical formula, and
// its parameters are our own choice for an invented car.
//
// A run is reproduced by its seed, byte by byte.
package simulate
