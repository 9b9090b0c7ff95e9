package memory

import (
	"math"
	"unsafe"

	"golang.org/x/sys/windows"
)

// memoryStatus is MEMORYSTATUSEX.
type memoryStatus struct {
	length, load                                                     uint32
	total, available, totalPage, availablePage, totalVirtual, atHand uint64
	extended                                                         uint64
}

var globalMemoryStatus = windows.NewLazySystemDLL("kernel32.dll").NewProc("GlobalMemoryStatusEx")

func status() (s memoryStatus, ok bool) {
	s.length = uint32(unsafe.Sizeof(s))
	r, _, _ := globalMemoryStatus.Call(uintptr(unsafe.Pointer(&s)))
	return s, r != 0 && s.total > 0
}

func machine() uint64 {
	if s, ok := status(); ok {
		return s.total
	}
	return 4 << 30
}

func free() uint64 {
	if s, ok := status(); ok {
		return s.available
	}
	return machine() / 4 * 3
}

func group() uint64 { return math.MaxUint64 }

// memoryCounters is PROCESS_MEMORY_COUNTERS.
type memoryCounters struct {
	size, faults           uint32
	peak, working          uintptr
	quotas                 [4]uintptr
	pagefile, peakPagefile uintptr
}

var processMemory = windows.NewLazySystemDLL("psapi.dll").NewProc("GetProcessMemoryInfo")

// Resident returns how much memory a process takes at the moment.
func Resident(pid int) (uint64, bool) {
	h, err := windows.OpenProcess(windows.PROCESS_QUERY_LIMITED_INFORMATION, false, uint32(pid))
	if err != nil {
		return 0, false
	}
	defer windows.CloseHandle(h)
	var c memoryCounters
	c.size = uint32(unsafe.Sizeof(c))
	r, _, _ := processMemory.Call(uintptr(h), uintptr(unsafe.Pointer(&c)), uintptr(c.size))
	return uint64(c.working), r != 0
}
