package supervisor

import (
	"os/exec"
	"syscall"
	"testing"
	"time"
)

func TestSetNice(t *testing.T) {
	c := exec.Command("sh", "-c", "while :; do :; done")
	c.SysProcAttr = &syscall.SysProcAttr{Setsid: true} // or the session of this test would give way
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	pid := c.Process.Pid
	defer c.Wait()
	defer c.Process.Kill()
	for !wantsProcessor(pid) { // it is being started
		time.Sleep(time.Millisecond)
	}
	aside := min(niceOf(pid)+5, 19)
	setNice(pid, aside)
	if n := niceOf(pid); n != aside {
		t.Errorf("its nice value is %d, want %d", n, aside)
	}
}

// The session of a process that gives way does so, too, and is what it was
// before, once the process has come back or ended; nothing else is touched.
func TestSessionGivesWay(t *testing.T) {
	c := exec.Command("sleep", "300")
	c.SysProcAttr = &syscall.SysProcAttr{Setsid: true}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	pid := c.Process.Pid
	defer c.Wait()
	defer c.Process.Kill()
	if _, ok := sessionNice(pid); !ok {
		t.Skip("this system does not share out by sessions")
	}
	until := func(want int, change func()) {
		t.Helper()
		// The system refuses changes that come one right after another.
		for end := time.Now().Add(time.Minute); ; time.Sleep(50 * time.Millisecond) {
			change()
			switch now, _ := sessionNice(pid); {
			case now == want:
				return
			case time.Now().After(end):
				t.Fatalf("its session has %d, want %d", now, want)
			}
		}
	}
	s := session{pid: pid}
	until(0, s.comeBack)
	until(asideNice, s.giveWay)
	until(0, s.comeBack)
	until(3, func() { setSessionNice(pid, 3) }) // by its owner
	s.comeBack()
	until(3, func() {})
	until(asideNice, s.giveWay)
	until(3, s.comeBack)
}

func TestRestingProcessWantsNothing(t *testing.T) {
	c := exec.Command("sleep", "60")
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	defer c.Wait()
	defer c.Process.Kill()
	for wantsProcessor(c.Process.Pid) { // until it sleeps
		time.Sleep(time.Millisecond)
	}
}
