package machine

// Recovering runs compiled code that may call back into cells and recovers
// from their panics itself: on this goroutine they go on as Go panics instead
// of ending it.
func (m *Machine) Recovering(f func()) {
	g := m.runs.enter()
	defer m.runs.leave(g)
	f()
}
