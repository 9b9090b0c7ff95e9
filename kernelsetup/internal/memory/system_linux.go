package memory

import (
	"bufio"
	"bytes"
	"math"
	"os"
	"path"
	"strconv"
	"strings"
	"sync"
	"syscall"
)

var machine = sync.OnceValue(func() uint64 {
	if n, ok := info("MemTotal:"); ok {
		return n
	}
	return 4 << 30
})

func free() uint64 {
	if n, ok := info("MemAvailable:"); ok {
		return n
	}
	return machine() / 4 * 3
}

func info(name string) (uint64, bool) {
	f, err := os.Open("/proc/meminfo")
	if err != nil {
		return 0, false
	}
	defer f.Close()
	for sc := bufio.NewScanner(f); sc.Scan(); {
		fields := strings.Fields(sc.Text())
		if len(fields) >= 2 && fields[0] == name {
			kb, err := strconv.ParseUint(fields[1], 10, 64)
			return kb << 10, err == nil
		}
	}
	return 0, false
}

var group = sync.OnceValue(func() uint64 { return groupLimit("/proc/self/cgroup", "/sys/fs/cgroup") })

// groupLimit returns the least limit of the control groups that a process is
// in, of either version.
func groupLimit(membership, root string) uint64 {
	limit := uint64(math.MaxUint64)
	look := func(file string) {
		data, err := os.ReadFile(file)
		if err != nil {
			return
		}
		if n, err := strconv.ParseUint(strings.TrimSpace(string(data)), 10, 64); err == nil && n > 0 {
			limit = min(limit, n)
		}
	}
	data, _ := os.ReadFile(membership)
	lines := strings.Split(string(data), "\n")
	for _, line := range append(lines, "0::/", "1:memory:/") {
		parts := strings.SplitN(line, ":", 3)
		if len(parts) < 3 {
			continue
		}
		below, file := "", "memory.max"
		if parts[0] != "0" {
			if !strings.Contains(","+parts[1]+",", ",memory,") {
				continue
			}
			below, file = "memory", "memory.limit_in_bytes"
		}
		for dir := path.Clean("/" + parts[2]); ; dir = path.Dir(dir) {
			look(path.Join(root, below, dir, file))
			if dir == "/" {
				break
			}
		}
	}
	return limit
}

// Resident returns how much memory a process takes at the moment, beside the
// pages of its program that others share. It is asked for every few milliseconds
// while cells run, so it makes three calls of the system and next to no garbage.
func Resident(pid int) (uint64, bool) {
	fd, err := syscall.Open("/proc/"+strconv.Itoa(pid)+"/statm", syscall.O_RDONLY|syscall.O_CLOEXEC, 0)
	if err != nil {
		return 0, false
	}
	defer syscall.Close(fd)
	var text [128]byte
	n, err := syscall.Read(fd, text[:])
	if err != nil {
		return 0, false
	}
	fields := bytes.Fields(text[:n])
	if len(fields) < 3 {
		return 0, false
	}
	all, err1 := strconv.ParseUint(string(fields[1]), 10, 64)
	shared, err2 := strconv.ParseUint(string(fields[2]), 10, 64)
	if err1 != nil || err2 != nil || shared > all {
		return 0, false
	}
	return (all - shared) * uint64(os.Getpagesize()), true
}
