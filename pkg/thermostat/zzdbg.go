package thermostat
var dbgs string
func dbg(s string) { dbgs += s + " | " }
