package messy

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"

	"github.com/bonnetbook/bonnetbook/pkg/internal/judge"
)

// engineReader writes what an injected engine's own sensors said: whole
// degrees, the engine's running time, no date but in the file's name. The
// intake sensor is plastic in the air stream, with a lag of a dozen seconds.
func engineReader(d *judge.Drive, rng *rand.Rand) file {
	var w bytes.Buffer
	w.WriteString("run time (s),rpm,vehicle speed (km/h),coolant temp (°C),intake air temp (°C),throttle (%)\n")
	t := d.Trace
	air := t.IntakeC[0]
	for i := range t.Len() {
		if !t.Running[i] { // no air: the sensor soaks in what it is screwed into
			air += (0.75*t.HeadC[i] + 0.25*t.RearC[i] - air) * (1 - math.Exp(-1.0/250))
			continue
		}
		air += (t.IntakeC[i] - air) * (1 - math.Exp(-1.0/12))
		throttle := 100.0
		if !t.FullThrottle[i] {
			throttle = 4 + 70*math.Sqrt(max(t.PowerW[i], 0)/max(t.FullPowerW[i], 1))
		}
		fmt.Fprintf(&w, "%d,%.0f,%.0f,%.0f,%.0f,%.0f\n", i-int(d.Run.BeforeS), t.RPM[i]+10*rng.NormFloat64(), t.SpeedMPS[i]*3.6, t.CoolantC[i], air, min(throttle, 100))
	}
	return file{d.Start.Format("engine_2006-01-02_1504") + ".csv", w.Bytes()}
}

// junk is what lies about in a folder and is of no use.
func junk(lang language, rng *rand.Rand) []file {
	noise := make([]byte, 3000)
	for i := range noise {
		noise[i] = byte(rng.IntN(256))
	}
	all := []file{
		{lang.notes + ".txt", []byte("open filters: first drives\nduct fitted on the weekend, see photo\n")},
		{"IMG_2041.jpg", append([]byte("\xff\xd8\xff\xe0\x00\x10JFIF\x00"), noise...)},
		{".DS_Store", append([]byte("\x00\x00\x00\x01Bud1"), noise[:500]...)},
		{"desktop.ini", []byte("[.ShellClassInfo]\r\nIconIndex=0\r\n")},
		{"empty.csv", nil},
		{"~$list.xlsx", noise[:165]},
		{"fuel.csv", []byte("date,litres,price,odometer\n2026-05-01,38.2,71.05,81234\n2026-05-19,35.9,66.80,81702\n")},
		{"LOG0000.tmp", noise[:40]},
		{"shopping/list.txt", []byte("hose 76 mm, 1.2 m\nclamps\n")},
	}
	rng.Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	return all[:rng.IntN(5)]
}
