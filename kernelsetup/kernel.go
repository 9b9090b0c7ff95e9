package main

import (
	"context"
	"flag"
	"os"
	"os/signal"
	"runtime"
	"syscall"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/install"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/protocol"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/repl"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/session"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/supervisor"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/worker"
)

// runKernel serves one front end until it is told to stop.
func runKernel(f *flag.FlagSet, args []string) error {
	args, err := parse(f, args, 1, 1, "the path of a connection file, which Jupyter passes (\"bonnetbook install\" registers the kernel with it)")
	if err != nil {
		return err
	}
	c, err := protocol.ReadConnection(args[0])
	if err != nil {
		return err
	}
	// This process hands on messages. A second processor would be woken by each
	// of them, and that is one that the cell or the front end can use.
	runtime.GOMAXPROCS(1)
	// It starts while the sockets are bound.
	cells, err := supervisor.Start(supervisor.Options{Adopt: true})
	if err != nil {
		return err
	}
	defer cells.Stop()
	ctx, stop := signal.NotifyContext(context.Background(), syscall.SIGTERM)
	defer stop()
	go followParent(stop)
	return session.Serve(ctx, c, session.Options{
		Worker:      cells,
		Version:     version(),
		HistoryFile: install.HistoryFile(),
		Interrupts:  interrupts(),
		SignAfter:   signAfter(),
	})
}

// signAfter is after how long a cell that has shown nothing says that it runs.
// The variable BONNETBOOK_SIGN, off, is for tests that count messages.
func signAfter() time.Duration {
	if os.Getenv("BONNETBOOK_SIGN") == "off" {
		return 0
	}
	return time.Second
}

// runCells runs cells for a kernel or a runner of notebooks, which started
// this process and outlives it.
func runCells(_ *flag.FlagSet, args []string) error {
	conn, err := supervisor.Connect(args)
	if err != nil {
		return err
	}
	dir, err := os.Getwd()
	if err != nil {
		dir = ""
	}
	ev, err := repl.New(dir)
	if err != nil {
		return err
	}
	worker.Serve(ev, conn)
	supervisor.Leave()
	return nil
}

// interrupts delivers the interrupt signal, as Ctrl-C sends it.
func interrupts() <-chan os.Signal {
	c := make(chan os.Signal, 1)
	signal.Notify(c, os.Interrupt)
	return c
}

// followParent stops a kernel whose front end died without a word. Jupyter
// says by the variable that it is the parent.
func followParent(stop func()) {
	parent := os.Getppid()
	if os.Getenv("JPY_PARENT_PID") == "" || parent <= 1 {
		return
	}
	for os.Getppid() == parent {
		time.Sleep(time.Second)
	}
	stop()
}
