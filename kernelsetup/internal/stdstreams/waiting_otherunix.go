//go:build unix && !linux

package stdstreams

// fionread is _IOR('f', 127, int), the same on all systems that descend from
// BSD.
const fionread = 0x4004667f
