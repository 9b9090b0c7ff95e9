package supervisor

import (
	"os"
	"os/exec"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

func TestGiveWay(t *testing.T) {
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
	giveWay(pid, aside)
	if n := niceOf(pid); n != aside {
		t.Errorf("its nice value is %d, want %d", n, aside)
	}
	group, err := os.ReadFile("/proc/" + strconv.Itoa(pid) + "/autogroup")
	if err != nil || len(group) == 0 {
		t.Skip("this system does not share out by sessions")
	}
	if !strings.HasSuffix(strings.TrimSpace(string(group)), " nice "+strconv.Itoa(aside)) {
		t.Errorf("its session: %s", group)
	}
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
