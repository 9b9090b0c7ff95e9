package supervisor

import (
	"bytes"
	"os"
	"strconv"

	"golang.org/x/sys/unix"
)

// niceOf returns the nice value of a process, 0 where it can't be told.
func niceOf(pid int) int {
	n, err := unix.Getpriority(unix.PRIO_PROCESS, pid)
	if err != nil {
		return 0
	}
	return 20 - n // getpriority(2): the bare call returns 40 to 1
}

// setNice sets the nice value of all threads of a process, where it is another
// one. A smaller one than before needs the limit RLIMIT_NICE to allow it; where it
// does not, a thread stays as it is, which costs only whoever took much.
func setNice(pid, nice int) {
	for _, id := range threadsOf(pid) {
		if niceOf(id) != nice {
			unix.Setpriority(unix.PRIO_PROCESS, id, nice)
		}
	}
}

// sessionNice returns the nice value of a process's session, false where the
// system does not share out by sessions.
func sessionNice(pid int) (nice int, ok bool) {
	text, err := os.ReadFile(sessionFile(pid)) // "/autogroup-25 nice 0"
	if err != nil {
		return 0, false
	}
	nice, err = strconv.Atoi(string(bytes.TrimSpace(text[bytes.LastIndexByte(text, ' ')+1:])))
	return nice, err == nil
}

// setSessionNice sets the nice value of a process's session, where it is another
// one. Its owner may set it back; the system refuses changes that come one right
// after another.
func setSessionNice(pid, nice int) {
	if now, ok := sessionNice(pid); !ok || now == nice {
		return
	}
	if group, err := os.OpenFile(sessionFile(pid), os.O_WRONLY, 0); err == nil { // no file of the user's
		group.WriteString(strconv.Itoa(nice))
		group.Close()
	}
}

func sessionFile(pid int) string { return "/proc/" + strconv.Itoa(pid) + "/autogroup" }

// wantsProcessor reports whether a thread of a process runs or waits for a
// processor.
func wantsProcessor(pid int) bool {
	for _, id := range threadsOf(pid) {
		stat, err := os.ReadFile("/proc/" + strconv.Itoa(pid) + "/task/" + strconv.Itoa(id) + "/stat")
		// proc(5): the state follows the name, which stands in brackets.
		if end := bytes.LastIndexByte(stat, ')'); err == nil && end > 0 && bytes.HasPrefix(stat[end+1:], []byte(" R")) {
			return true
		}
	}
	return false
}

func threadsOf(pid int) []int {
	names, _ := os.ReadDir("/proc/" + strconv.Itoa(pid) + "/task") // none: it has ended
	var ids []int
	for _, n := range names {
		if id, err := strconv.Atoi(n.Name()); err == nil {
			ids = append(ids, id)
		}
	}
	return ids
}
