// Package protocol speaks the Jupyter messaging protocol over ZeroMQ: five bound
// sockets, signed messages, and nothing that knows what a message asks for.
package protocol

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"strconv"
)

// Connection is a connection file: where a front end expects the kernel's
// sockets, and the key that both sign with.
type Connection struct {
	// Transport is "tcp" or "ipc".
	Transport string `json:"transport"`
	// IP is the address to bind, or for ipc the path that each port is
	// appended to.
	IP              string `json:"ip"`
	ShellPort       int    `json:"shell_port"`
	IOPubPort       int    `json:"iopub_port"`
	StdinPort       int    `json:"stdin_port"`
	ControlPort     int    `json:"control_port"`
	HeartbeatPort   int    `json:"hb_port"`
	Key             string `json:"key"`
	SignatureScheme string `json:"signature_scheme"`
}

// ReadConnection reads a connection file and checks it.
func ReadConnection(path string) (Connection, error) {
	var c Connection
	f, err := os.Open(path)
	if err != nil {
		return c, fmt.Errorf("connection file: %w", err)
	}
	defer f.Close()
	// Some hundred bytes; a device such as /dev/zero would never end.
	data, err := io.ReadAll(io.LimitReader(f, 1<<20))
	if err != nil {
		return c, fmt.Errorf("connection file: %w", err)
	}
	if err := json.Unmarshal(data, &c); err != nil {
		return c, fmt.Errorf("connection file %s is not the JSON that Jupyter writes: %w", path, err)
	}
	if err := c.check(); err != nil {
		return c, fmt.Errorf("connection file %s: %w", path, err)
	}
	return c, nil
}

func (c Connection) check() error {
	switch c.Transport {
	case "tcp", "ipc":
	default:
		return fmt.Errorf("transport is %q, want \"tcp\" or \"ipc\"", c.Transport)
	}
	if c.IP == "" {
		return fmt.Errorf("ip is empty; the kernel binds only what the file names")
	}
	for _, p := range []struct {
		name string
		port int
	}{
		{"shell_port", c.ShellPort}, {"iopub_port", c.IOPubPort}, {"stdin_port", c.StdinPort},
		{"control_port", c.ControlPort}, {"hb_port", c.HeartbeatPort},
	} {
		if p.port <= 0 || c.Transport == "tcp" && p.port > 65535 {
			return fmt.Errorf("%s is %d, want a port number from 1 to 65535", p.name, p.port)
		}
	}
	if c.Key != "" && c.SignatureScheme != "" && c.SignatureScheme != "hmac-sha256" {
		return fmt.Errorf("signature_scheme is %q, only \"hmac-sha256\" is supported", c.SignatureScheme)
	}
	return nil
}

// address returns the network and address of net.Listen for one port.
func (c Connection) address(port int) (network, address string) {
	if c.Transport == "ipc" {
		return "unix", c.IP + "-" + strconv.Itoa(port)
	}
	return "tcp", joinHostPort(c.IP, port)
}
