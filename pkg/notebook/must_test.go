package notebook

import (
	"errors"
	"fmt"
	"strings"
	"testing"
)

type partly bool

func (p partly) Error() string { return "one of six left out" }
func (p partly) Partial() bool { return bool(p) }

// Must goes on where the error stands beside a usable value, and says so; any
// other error fails the cell.
func TestMustShowsPartialErrors(t *testing.T) {
	p := newPage(t)
	if v := Must(5, fmt.Errorf("drives: %w", partly(true))); v != 5 {
		t.Errorf("value %v", v)
	}
	if len(p.events) != 1 || !strings.Contains(p.events[0], "one of six left out") {
		t.Errorf("shown: %q", p.events)
	}
	for _, err := range []error{partly(false), errors.New("no")} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%v passed", err)
				}
			}()
			Must(5, err)
		}()
	}
}

func TestTryShowsTheError(t *testing.T) {
	if v := Try(5, nil); v != 5 {
		t.Errorf("value %v", v)
	}
	if b, ok := Try(0, errors.New("too few")).(Bundle); !ok || b.Text() != "too few" {
		t.Errorf("error shown as %v", b)
	}
}
