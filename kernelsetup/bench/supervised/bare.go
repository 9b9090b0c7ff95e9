package main

import (
	"errors"
	"os"
	"os/exec"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/ipc"
)

// bare is a process that does nothing but send messages back: what is left of
// a second process when all that it does for a cell is taken away.
type bare struct {
	conn *ipc.Conn
	cmd  *exec.Cmd
	n    uint64
}

func startBare() (b *bare, err error) {
	self, err := os.Executable()
	if err != nil {
		return nil, err
	}
	b = &bare{cmd: exec.Command(self, "echo")}
	in, err := b.cmd.StdinPipe()
	if err != nil {
		return nil, err
	}
	out, err := b.cmd.StdoutPipe()
	if err != nil {
		return nil, err
	}
	b.conn = ipc.NewConn(out, in)
	return b, b.cmd.Start()
}

func (b *bare) close() {
	b.conn.Close()
	b.cmd.Wait()
}

// trip sends a message of a small cell's size and waits for it.
func (b *bare) trip(code string) (time.Duration, error) {
	b.n++
	m := ipc.New(ipc.Run, b.n, "cell 1", code, make([]byte, 100))
	start := time.Now()
	if err := b.conn.Write(m); err != nil {
		return 0, err
	}
	back, err := b.conn.Read()
	if err == nil && back.ID != b.n {
		err = errors.New("another message came back")
	}
	return time.Since(start), err
}

// echo sends back what comes, until nothing does.
func echo() error {
	conn := ipc.NewConn(os.Stdin, os.Stdout)
	for {
		m, err := conn.Read()
		if err != nil {
			return nil
		}
		if err := conn.Write(m); err != nil {
			return err
		}
	}
}
