package engine

// Recovering runs compiled code that may call back into cells and recovers
// from their panics itself.
func (e *Engine) Recovering(f func()) { e.session.machine.Recovering(f) }
