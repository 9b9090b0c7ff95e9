package stdstreams

import "golang.org/x/sys/unix"

const fionread = unix.TIOCINQ
