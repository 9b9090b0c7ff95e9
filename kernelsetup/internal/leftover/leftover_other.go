//go:build !linux

package leftover

import "time"

// Elsewhere a process can't be asked for its sockets and children without
// more. They end with the process.

// Sockets lists nothing.
func Sockets() []Socket { return nil }

// Shut does nothing.
func (s Socket) Shut() {}

// Drop does nothing.
func (s Socket) Drop() {}

// Children lists nothing.
func Children() []Child { return nil }

// End does nothing.
func (c Child) End() {}

// Reap does nothing.
func (c Child) Reap() {}

// TimeOf is not known.
func TimeOf(int) (time.Duration, bool) { return 0, false }
