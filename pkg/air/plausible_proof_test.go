//go:build proof

package air_test

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/air"
	. "github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// Prints the table of testdata/planted.txt: the same planted mistakes and right
// statements as TestMistakesOfWeatherAreAskedAbout, with other seeds and far more of
// them.
func TestPlantedMistakesOfWeather(t *testing.T) {
	const sets, right, seed = 2000, 200_000, 20261127
	most, missed, kinds := [2]int{}, 0, map[string]int{}
	for i := range uint64(sets) {
		all := plantedMistakes(t, rand.New(rand.NewPCG(seed, i)))
		missed += len(all)
		if most[1]++; len(all) <= 2 {
			most[0]++
		}
		for _, name := range all {
			kinds[name]++
		}
	}
	r, alarms := rand.New(rand.NewPCG(seed, 1<<40)), 0
	for i := range right {
		d := simulatedDay(t, r, 100+Length(1900*r.Float64()))
		as, p := air.AtStation, d.station
		if i%2 == 0 {
			as, p = air.ReducedToSeaLevel, d.qnh
		}
		if asked(d, p, as, d.temperature, d.humidity) {
			alarms++
		}
	}
	var b strings.Builder
	fmt.Fprintf(&b, "# seed %d; RESULT=testdata/planted.txt go test -tags proof -count=1 -run TestPlantedMistakesOfWeather ./pkg/air\n", seed)
	fmt.Fprintf(&b, "mistakes asked about, of 40 at 100 m to 2000 m, mean of %d sets: %.2f (wanted: 38)\n", sets, 40-float64(missed)/sets)
	fmt.Fprintf(&b, "sets with 38 or more asked about: %.1f %%\n", 100*float64(most[0])/float64(most[1]))
	fmt.Fprintf(&b, "right statements asked about, of 200: %.3f (%d of %d; wanted: 0)\n", 200*float64(alarms)/right, alarms, right)
	for _, name := range slices.Sorted(maps.Keys(kinds)) {
		fmt.Fprintf(&b, "missed, %s: %d\n", name, kinds[name])
	}
	t.Log("\n" + b.String())
	if path := os.Getenv("RESULT"); path != "" {
		if err := os.WriteFile(path, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
