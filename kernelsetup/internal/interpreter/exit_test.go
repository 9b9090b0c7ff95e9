package interpreter

import "testing"

// os.Exit(0) is how a program ends well: no failure, and nothing is shown,
// and the notebook goes on. Any other status is one.
func TestExitZeroIsACleanEnd(t *testing.T) {
	nb := newNotebook(t)
	nb.ok("import (\"os\"; \"time\")\nvar _ = time.Now\nkept := 1")
	for _, src := range []string{
		"kept = 2\nos.Exit(0)\nkept",
		"kept = 2\nfunc() int { os.Exit(0); return 3 }()",
		"kept = 2\ngo os.Exit(0)\ntime.Sleep(time.Second)\nkept",
	} {
		r := nb.run(src, 0)
		if r.Err != nil || len(r.Values) != 0 {
			t.Errorf("%q: %v, %d values", src, r.Err, len(r.Values))
		}
		if r := nb.run("kept", 0); r.Err != nil || len(r.Values) != 1 || r.Values[0].Value.Int() != 2 {
			t.Errorf("after %q: %v", src, r.Err)
		}
	}
	if r := nb.run("os.Exit(3)", 0); r.Err == nil || r.Err.Kind != Exit || r.Err.Code != 3 {
		t.Errorf("os.Exit(3): %v", r.Err)
	}
	if r := nb.run("runtime.Goexit()", 0); r.Err == nil {
		t.Error("runtime.Goexit went unnoticed")
	}
}
