package engine

import (
	"bufio"
	"os"
	"strconv"
	"strings"
)

// MemoryVariable names the environment variable that says how much memory
// cells may take together, for example 512M, 8G or a number of bytes.
const MemoryVariable = "BONNETBOOK_MEMORY"

// totalLimit returns how large the process's memory may become while a cell
// runs: what the environment says, or three quarters of what there is.
func totalLimit() uint64 {
	if n, ok := parseBytes(os.Getenv(MemoryVariable)); ok {
		return n
	}
	total := machineMemory()
	for _, file := range []string{"/sys/fs/cgroup/memory.max", "/sys/fs/cgroup/memory/memory.limit_in_bytes"} {
		data, err := os.ReadFile(file)
		if err != nil {
			continue
		}
		if n, ok := parseBytes(strings.TrimSpace(string(data))); ok {
			total = min(total, n)
		}
	}
	return total / 4 * 3
}

// parseBytes reads a number of bytes with an optional suffix K, M, G or T.
func parseBytes(text string) (uint64, bool) {
	shift := 0
	if i := len(text) - 1; i > 0 {
		if k := strings.IndexByte("KMGT", text[i]); k >= 0 {
			text, shift = text[:i], 10*(k+1)
		}
	}
	n, err := strconv.ParseUint(text, 10, 64)
	if err != nil || n == 0 || n > 1<<62>>shift {
		return 0, false
	}
	return n << shift, true
}

// freeMemory returns the memory that the machine has free, or a guess.
func freeMemory() uint64 { return memInfo("MemAvailable:") }

// machineMemory returns the memory that the machine has, or a guess.
func machineMemory() uint64 { return memInfo("MemTotal:") }

func memInfo(name string) uint64 {
	const guess = 4 << 30
	f, err := os.Open("/proc/meminfo")
	if err != nil {
		return guess
	}
	defer f.Close()
	for sc := bufio.NewScanner(f); sc.Scan(); {
		fields := strings.Fields(sc.Text())
		if len(fields) >= 2 && fields[0] == name {
			if kb, err := strconv.ParseUint(fields[1], 10, 64); err == nil {
				return kb << 10
			}
		}
	}
	return guess
}
