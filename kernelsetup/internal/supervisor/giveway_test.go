package supervisor

import (
	"testing"
	"time"
)

// A process gives way after some seconds of work, stays aside while it wants
// more, however little it gets, and returns when it rests.
func TestUsage(t *testing.T) {
	var u usage
	now, taken := time.Unix(0, 0), time.Duration(0)
	pass := func(seconds int, part float64, wants bool) (since int) {
		since = -1
		for i := range seconds {
			now, taken = now.Add(time.Second), taken+time.Duration(part*float64(time.Second))
			was := u.aside
			if u.add(now, taken, wants); u.aside != was {
				since = i
			}
		}
		return since
	}
	if pass(5, 1, true); u.aside {
		t.Error("aside after a cell of five seconds")
	}
	if pass(31, 0, false); u.aside {
		t.Error("aside after a rest")
	}
	if at := pass(20, 1, true); !u.aside || at < 5 || at > 7 {
		t.Errorf("an endless loop gives way after %d s: %v", at, u.aside)
	}
	if pass(100, 0.05, true); !u.aside {
		t.Error("it returned since the others left it nothing")
	}
	if at := pass(20, 0.01, false); u.aside || at > restSteps {
		t.Errorf("it rests for %d s: %v", at, u.aside)
	}
	if pass(100, 0.15, true); u.aside {
		t.Error("who gets this little beside others can't slow them by much")
	}
	if at := pass(40, 0.5, true); !u.aside || at > 14 {
		t.Errorf("half a processor, as beside three others on two, gives way after %d s: %v", at, u.aside)
	}
	if pass(restSteps, 0, false); u.aside {
		t.Error("a rest after a long cell")
	}
	if pass(3, 4, true); !u.aside {
		t.Error("four processors for three seconds")
	}
}
