package campaign

import "testing"

// A drive that was opened before is opened again from its files, with what was
// found of its clocks then: below 50 ms is wanted. The other drive's clocks are
// looked for each time.
func BenchmarkDrive(b *testing.B) {
	for name, cache := range map[string]string{"again": b.TempDir(), "first": "off"} {
		b.Run(name, func(b *testing.B) {
			b.Setenv("BONNETBOOK_CACHE", cache)
			open := func() {
				c, err := Open("../../testdata/demo/campaign.toml")
				if err == nil {
					_, err = c.Drive("open filters, first run")
				}
				if err != nil {
					b.Fatal(err)
				}
			}
			open()
			for b.Loop() {
				open()
			}
		})
	}
}
