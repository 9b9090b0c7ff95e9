// Package leftover finds what code of cells has left open and running in this
// process and below it: sockets and child processes.
package leftover

import "time"

// Child is a child process.
type Child struct {
	Pid     int
	Command string
	Started time.Time
	// Processor is the processor time it has used.
	Processor time.Duration
}

// Socket is an open socket.
type Socket struct {
	fd int
	// Address is where it listens; empty for others.
	Address string
}
