package vm

const (
	maxGoStack     = 64 << 20
	shallowGoStack = 4 << 20
	shallowDepth   = 20_000
)

// depth is how many calls a thread may nest.
func (r *Run) depth() int {
	if r.shallow {
		return min(shallowDepth, r.m.limits.Depth)
	}
	return r.m.limits.Depth
}

// goStack is how much of its Go stack a goroutine may use.
func (r *Run) goStack() uintptr {
	if r.shallow {
		return shallowGoStack
	}
	return maxGoStack
}
