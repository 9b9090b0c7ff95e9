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
	group, err := os.ReadFile("/proc/" + strconv.Itoa(pid) + "/autogroup")
	if err != nil || len(group) == 0 {
		t.Skip("this system does not share out by sessions")
	}
	session := func() string {
		group, _ := os.ReadFile("/proc/" + strconv.Itoa(pid) + "/autogroup")
		return strings.TrimSpace(string(group))
	}
	want := " nice " + strconv.Itoa(aside)
	for end := time.Now().Add(time.Minute); !strings.HasSuffix(session(), want); time.Sleep(50 * time.Millisecond) {
		if setNice(pid, aside); time.Now().After(end) {
			t.Fatalf("its session: %s, want%s", session(), want)
		}
	}
	for end := time.Now().Add(time.Minute); !strings.HasSuffix(session(), " nice 0"); time.Sleep(50 * time.Millisecond) {
		if setNice(pid, 0); time.Now().After(end) {
			t.Fatalf("its session did not return: %s", session())
		}
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
