// Package share knows with how many other kernels this one shares the machine,
// and what part of it is its own.
package share

import (
	"fmt"
	"os"
	"runtime"
	"strconv"
	"strings"
)

// Variable names the environment variable that says how many kernels the
// machine is for, for example 20 on the server of a workshop.
const Variable = "BONNETBOOK_SHARED"

// most is the largest number of kernels that is taken for one.
const most = 10000

// Kernels returns how many kernels the machine is for: what the environment
// says, 1 without it. It fails, beside 1, where that is no number from 1 to
// 10000.
func Kernels() (int, error) {
	text := strings.TrimSpace(os.Getenv(Variable))
	if text == "" {
		return 1, nil
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 || n > most {
		return 1, fmt.Errorf("the environment variable %s is not heeded: %q is no number of kernels from 1 to %d", Variable, text, most)
	}
	return n, nil
}

// Processors returns on how many processors a kernel may run cells at once:
// all of them, or where it shares them, as if half of the kernels were busy.
func Processors() int {
	n, _ := Kernels() // whoever started the process has told of an error
	return processors(n, runtime.GOMAXPROCS(0))
}

func processors(kernels, machine int) int {
	return min(machine, max(1, 2*machine/kernels))
}
