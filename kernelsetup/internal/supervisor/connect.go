package supervisor

import (
	"fmt"
	"os"
	"os/signal"
	"runtime"
	"runtime/debug"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/ipc"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/memory"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/share"
)

// Connect makes this process one that runs cells for the supervisor that
// started it with these arguments.
func Connect(args []string) (*ipc.Conn, error) {
	if len(args) != 3 && len(args) != 4 {
		return nil, fmt.Errorf("this command is for the kernel's own use: \"bonnetbook kernel\" and \"bonnetbook run\" start it")
	}
	var files [4]*os.File
	for i, name := range []string{"answers", "requests", "last words", "note"}[:len(args)] {
		var err error
		if files[i], err = inherited(args[i], name); err != nil {
			return nil, err
		}
	}
	debug.SetCrashOutput(files[2], debug.CrashOptions{})
	signal.Notify(make(chan os.Signal, 1), os.Interrupt) // comes as a message
	// To set the number that is there would keep it from following the control group.
	if n := share.Processors(); n < runtime.GOMAXPROCS(0) {
		runtime.GOMAXPROCS(n)
	}
	limit, _ := memory.Limit()
	debug.SetMemoryLimit(int64(limit + limit/32)) // a cell is stopped there, or soon after
	bound(limit)
	conn := ipc.NewConn(files[1], files[0])
	conn.Note(files[3])
	return conn, nil
}

// Leave ends this process and all that cells have started, when the supervisor
// has gone.
func Leave() { endGroup() }
