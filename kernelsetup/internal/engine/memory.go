package engine

import (
	"bufio"
	"os"
	"strconv"
	"strings"
)

// freeMemory returns the memory that the machine has free, or a guess.
func freeMemory() uint64 {
	const guess = 4 << 30
	f, err := os.Open("/proc/meminfo")
	if err != nil {
		return guess
	}
	defer f.Close()
	for sc := bufio.NewScanner(f); sc.Scan(); {
		fields := strings.Fields(sc.Text())
		if len(fields) >= 2 && fields[0] == "MemAvailable:" {
			if kb, err := strconv.ParseUint(fields[1], 10, 64); err == nil {
				return kb << 10
			}
		}
	}
	return guess
}
