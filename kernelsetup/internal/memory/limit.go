// Package memory knows how much memory there is, how much of it cells may
// take, and how much a process takes.
package memory

import (
	"errors"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/share"
)

// Variable names the environment variable that says how much memory cells may
// take together, for example 512MB, 8GiB or a number of bytes.
const Variable = "BONNETBOOK_MEMORY"

// least is the least limit: the process needs some for itself.
const least = 64 << 20

// leastShared is the least limit of a kernel that shares the machine: the
// largest notebook of the course needs about half of it.
const leastShared = 192 << 20

// Limit returns how large the process that runs cells may become: what the
// environment says, or three quarters of what the machine or its control group
// has. Where package share says that kernels share it, it is this one's part of
// half of that, since the front ends need memory, too, but at least 192 MiB. It
// fails, beside that default, where the environment says something that is no
// amount of memory, too little to work with, or no number of kernels.
func Limit() (uint64, error) {
	kernels, shareErr := share.Kernels()
	def := part(Total(), kernels)
	text := strings.TrimSpace(os.Getenv(Variable))
	if text == "" {
		return def, shareErr
	}
	n, err := Parse(text)
	if err == nil && n < least {
		err = fmt.Errorf("%q is too little to run cells in; the least is %s", text, Text(least))
	}
	if err != nil {
		return def, errors.Join(fmt.Errorf("the environment variable %s is not heeded: %w; the limit is %s", Variable, err, Text(def)), shareErr)
	}
	return n, shareErr
}

// part is what one of some kernels may take of all memory.
func part(total uint64, kernels int) uint64 {
	if kernels == 1 {
		return total / 4 * 3
	}
	return min(total/4*3, max(leastShared, total/2/uint64(kernels)))
}

// units are the suffixes of amounts; single letters and those with an i are
// powers of 1024, as memory is sold; so are KB, MB and GB, as it is written.
var units = map[string]float64{
	"": 1, "b": 1,
	"k": 1 << 10, "kb": 1 << 10, "kib": 1 << 10, "m": 1 << 20, "mb": 1 << 20, "mib": 1 << 20,
	"g": 1 << 30, "gb": 1 << 30, "gib": 1 << 30, "t": 1 << 40, "tb": 1 << 40, "tib": 1 << 40,
}

// Parse reads an amount of memory: a number, with a suffix of B, KB, MB, GB,
// TB, KiB, MiB, GiB, TiB, K, M, G or T in any case, all of them powers of 1024.
// It fails for anything else and for what no machine has.
func Parse(text string) (uint64, error) {
	s := strings.TrimSpace(text)
	end := strings.LastIndexAny(s, "0123456789.") + 1
	factor, known := units[strings.ToLower(strings.TrimSpace(s[end:]))]
	f, err := strconv.ParseFloat(s[:end], 64)
	switch {
	case err != nil || !known || strings.ContainsAny(s[:end], "xXpPeE_+-") || math.IsInf(f, 0):
		return 0, fmt.Errorf("%q is no amount of memory; write it like 512MB, 8GB or 2.5GiB", text)
	case f <= 0:
		return 0, fmt.Errorf("%q is no memory at all", text)
	case f*factor > 1<<56:
		return 0, fmt.Errorf("%q is more memory than any machine has", text)
	}
	return uint64(f * factor), nil
}

// Text writes an amount for a person.
func Text(n uint64) string {
	if n < 1<<10 {
		return fmt.Sprintf("%d B", n)
	}
	f, i := float64(n)/1024, 0
	for f >= 1024 && i < 4 {
		f, i = f/1024, i+1
	}
	return fmt.Sprintf("%.1f %ciB", f, "KMGTP"[i])
}

// Total returns the memory that the machine has, or its control group where
// that has less.
func Total() uint64 { return min(machine(), group()) }

// Free returns the memory that is free now, or three quarters of all where
// that can't be told.
func Free() uint64 { return min(free(), group()) }
