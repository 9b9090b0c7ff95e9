package notebook

// Interact shows controls and, below them, what draw returns; whenever a
// control changes, draw runs again and its picture is replaced. Without live
// controls the picture for the initial values stays.
func Interact(draw func() any, controls ...Control) {
	for _, c := range controls {
		sink().Display(c.Display(), "")
	}
	shown := ShowLive(draw())
	for _, c := range controls {
		c.onChange(func() { shown.Update(draw()) })
	}
}
