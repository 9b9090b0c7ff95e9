// Command supervised measures what it costs a cell's round trip that cells run
// in a process of their own: kernels with and without a supervisor are asked
// by turns, at random, in one run.
//
//	go run ./kernelsetup/bench/supervised [-rounds 12] [-trips 200] [-o FILE]
//
// Each round starts three kernels anew, on loopback: one with a supervisor and
// two that run cells in the process that answers, as the difference of two
// equal kernels shows what the machine's own unrest is. A round trip lasts from
// the request to the later of its reply and the message that the kernel is
// idle. A fourth process only sends messages back: by it is seen how much of the
// difference is the way between two processes itself.
package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"runtime"

	"github.com/bonnetbook/bonnetbook/internal/atomicfile"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/execution"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/protocol"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/repl"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/session"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/supervisor"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/worker"
)

func main() {
	if err := run(os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run(args []string) error {
	switch {
	case len(args) > 0 && args[0] == supervisor.Word:
		return cells(args[1:])
	case len(args) == 1 && args[0] == "echo":
		return echo()
	case len(args) == 3 && args[0] == "kernel":
		return kernel(args[1] == "supervised", args[2])
	}
	f := flag.NewFlagSet("supervised", flag.ExitOnError)
	rounds := f.Int("rounds", 12, "how often the kernels are started anew")
	trips := f.Int("trips", 200, "round trips of each kernel in a round")
	out := f.String("o", "", "also write the result to this file")
	f.Parse(args)
	text, err := measure(*rounds, *trips)
	if err != nil {
		return err
	}
	fmt.Print(text)
	if *out == "" {
		return nil
	}
	head := fmt.Sprintf("# Written by: go run ./kernelsetup/bench/supervised -rounds %d -trips %d -o FILE\n", *rounds, *trips)
	return atomicfile.Write(*out, []byte(head+text), 0o644)
}

// kernel is a whole kernel, as the program's command of this name starts it.
func kernel(supervised bool, connection string) error {
	c, err := protocol.ReadConnection(connection)
	if err != nil {
		return err
	}
	var w execution.Worker
	if supervised {
		runtime.GOMAXPROCS(1) // as the program's command does
		s, err := supervisor.Start(supervisor.Options{Adopt: true})
		if err != nil {
			return err
		}
		defer s.Stop()
		w = s
	} else {
		ev, err := repl.New("")
		if err != nil {
			return err
		}
		w = worker.Here(ev)
	}
	return session.Serve(context.Background(), c, session.Options{Worker: w})
}

// cells runs cells for a supervisor.
func cells(args []string) error {
	conn, err := supervisor.Connect(args)
	if err != nil {
		return err
	}
	ev, err := repl.New("")
	if err != nil {
		return err
	}
	worker.Serve(ev, conn)
	supervisor.Leave()
	return nil
}
