package pack

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"

	"github.com/bonnetbook/bonnetbook/pkg/internal/judge"
	"github.com/bonnetbook/bonnetbook/pkg/internal/judge/instrument"
)

// source is the chance of one device in one drive.
func source(seed uint64, drive, device int) *rand.Rand {
	return rand.New(rand.NewPCG(seed, uint64(1000*(drive+1)+device)))
}

func logName(drive int, logger string) string {
	return fmt.Sprintf("drive-%d-logger-%s.csv", drive+1, logger)
}

func trackName(drive int) string { return fmt.Sprintf("drive-%d-phone.csv", drive+1) }

// table writes a logger's recording.
func table(rec instrument.Recording) []byte {
	var w bytes.Buffer
	w.WriteString("date,time")
	for _, c := range rec.Channels {
		fmt.Fprintf(&w, ",%s (°C)", c.Label)
	}
	w.WriteByte('\n')
	for i, at := range rec.Stamps {
		w.WriteString(at.Format("2006-01-02,15:04:05"))
		for _, c := range rec.Channels {
			if math.IsNaN(c.Values[i]) {
				w.WriteString(",")
				continue
			}
			fmt.Fprintf(&w, ",%.1f", c.Values[i])
		}
		w.WriteByte('\n')
	}
	return w.Bytes()
}

// track writes a phone's track.
func track(fixes []instrument.Fix) []byte {
	var w bytes.Buffer
	w.WriteString("time,latitude,longitude,altitude (m),speed (m/s)\n")
	for i := 0; i < len(fixes); i += thin {
		f := fixes[i]
		fmt.Fprintf(&w, "%s,%.5f,%.5f,%.0f,%.2f\n", f.At.Format("2006-01-02T15:04:05Z"), f.LatDeg, f.LonDeg, f.HeightM, f.SpeedMPS)
	}
	return w.Bytes()
}

// campaign writes the campaign file, as an owner does who noticed nothing.
func (p Pack) campaign(c *judge.Campaign) []byte {
	var w bytes.Buffer
	say := func(format string, args ...any) { fmt.Fprintf(&w, format+"\n", args...) }
	say("# A pack of the workshop, %q: an invented car on an invented road.", p.Name)
	say("[car]\nname = %q\nmass = \"%.0f kg\"\n", "the "+p.Name+" car", c.Car.MassKg)
	say("[engine]\ndisplacement = \"%.0f cm3\"\ncylinders = 4\nrated-power = \"%.0f kW\"\nrated-power-speed = \"%.0f rpm\"", c.Car.DisplacementM3*1e6, c.Car.RatedPowerW/1000, c.Car.RatedRPM)
	say("carburettor = \"constant-depression\"\ncarburettors = 1\nthermostat = \"%.0f degC\"", c.Car.StampC)
	for _, name := range configurations {
		say("\n[[configuration]]\nname = %q", name)
	}
	say("\n[[device]]\nname = \"logger A\"\ntime-zone = \"+02:00\"\n[device.channels]\nT1 = \"ambient\"\nT2 = \"intake\"\nT3 = \"engine-bay\"\nT4 = \"top-tank\"")
	say("\n[[device]]\nname = \"logger B\"\ntime-zone = \"+02:00\"\n[device.channels]\nK1 = \"intake\"\nK2 = \"own rear bay\"\nK3 = \"coolant\"")
	say("\n[[device]]\nname = \"phone\"\n[device.channels]\nspeed = \"speed\"\nlatitude = \"latitude\"\nlongitude = \"longitude\"\naltitude = \"altitude\"")
	var runs [2]int
	for i, d := range c.Drives {
		side := 0
		if d.After {
			side = 1
		}
		runs[side]++
		say("\n[[drive]]\nname = \"%s, run %d\"\nconfiguration = %q", configurations[side], runs[side], configurations[side])
		say("pressure = \"%.1f hPa\"\nhumidity = \"%.0f %%\"", d.Run.Day.PressurePa/100, 100*d.Run.Day.HumidityShare)
		for _, f := range [][2]string{{trackName(i), "phone"}, {logName(i, "A"), "logger A"}, {logName(i, "B"), "logger B"}} {
			say("[[drive.file]]\npath = %q\ndevice = %q", f[0], f[1])
		}
	}
	return w.Bytes()
}
