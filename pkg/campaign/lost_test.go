package campaign_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
)

// A file of which more than one row in fifty is lost, or a column, is named by
// the draft, too; one of which less is lost is not.
func TestDraftTellsWhatIsLost(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ every, remarks int }{{20, 1}, {200, 0}} {
		dir := t.TempDir()
		var b strings.Builder
		b.WriteString("Time,T1 intake (°C),T2 bay (°C),T3 radiator (°C)\n")
		for i := range 600 {
			row := fmt.Sprintf("%s,%.1f,%.1f,%.1f", time.Date(2026, 5, 13, 9, 0, 2*i, 0, time.UTC).Format(time.DateTime), 20+float64(i)/60, 25+float64(i)/40, 20+float64(i)/10)
			if i%c.every == 7 {
				row = row[:21] + "\x02#"
			}
			b.WriteString(row + "\n")
		}
		if err := os.WriteFile(filepath.Join(dir, "logger.csv"), []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
		s, err := campaign.Draft(dir)
		if err != nil {
			t.Fatal(err)
		}
		if len(s.Remarks) != c.remarks || c.remarks > 0 && (s.Remarks[0].Kind != estimate.LostReadings || s.Remarks[0].Subject != "logger.csv" || !strings.Contains(s.String(), "30 of 600 lines")) {
			t.Errorf("one in %d: %v", c.every, s.Remarks)
		}
	}
}
