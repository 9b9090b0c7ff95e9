package leftover

import (
	"time"

	"golang.org/x/sys/windows"
)

// ProcessorTime is what this process has used so far.
func ProcessorTime() time.Duration {
	var born, ended, kernel, user windows.Filetime
	if windows.GetProcessTimes(windows.CurrentProcess(), &born, &ended, &kernel, &user) != nil {
		return 0
	}
	span := func(f windows.Filetime) time.Duration {
		return time.Duration(int64(f.HighDateTime)<<32|int64(f.LowDateTime)) * 100
	}
	return span(kernel) + span(user)
}
