package campaign_test

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/clock"
	"github.com/bonnetbook/bonnetbook/pkg/internal/reallog"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
	"github.com/bonnetbook/bonnetbook/pkg/series"
)

// Real logs with speed and intake temperature from one clock: the estimate
// must hold 0 s, or say that it can't tell. The folder is named by the
// environment; without it there is nothing to do.
func TestClockOnRealDrives(t *testing.T) {
	folder := reallog.Folder(t)
	files, _ := filepath.Glob(filepath.Join(folder, "car_[ab]", "*.csv"))
	if len(files) == 0 {
		t.Fatalf("no drives below %s", folder)
	}
	for _, f := range files {
		r, err := recording.Open(f, recording.Options{})
		if err != nil {
			t.Errorf("%v", err)
			continue
		}
		speed := r.OfDimension(series.Speed)
		if len(speed) == 0 {
			t.Errorf("%s has no speed", f)
			continue
		}
		for _, c := range r.OfDimension(series.Temperature) {
			got, err := clock.FromMotion(speed[0].Series, []*series.Series{c.Series}, clock.DefaultOptions())
			if air := strings.Contains(strings.ToLower(c.Name), "intake"); err == nil && air && !got.Interval.Contains(0) {
				t.Errorf("%s %s: %v does not hold 0 s", filepath.Base(f), c.Name, got.Interval)
			}
			t.Logf("%s %s: %v %v", filepath.Base(f), c.Name, got, err)
		}
	}
}
