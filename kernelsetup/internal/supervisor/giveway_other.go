//go:build !linux

package supervisor

// Elsewhere the processor time of a process is not known here, and the system
// shares out by itself.

func niceOf(int) int               { return 0 }
func setNice(pid, nice int)        {}
func sessionNice(int) (int, bool)  { return 0, false }
func setSessionNice(pid, nice int) {}
func wantsProcessor(int) bool      { return false }
