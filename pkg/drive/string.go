package drive

// String describes the drive as [Drive.Quality] does: what was recorded when,
// what is missing, what was repaired.
func (d *Drive) String() string { return d.Quality().String() }
