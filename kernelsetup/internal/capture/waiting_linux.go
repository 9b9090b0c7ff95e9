package capture

import "golang.org/x/sys/unix"

const fionread = unix.TIOCINQ
