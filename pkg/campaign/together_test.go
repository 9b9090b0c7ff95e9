package campaign_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/clock"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
)

// slowLogger is by how many seconds the logger's clock is behind the phone's.
const slowLogger = 37

// faintDrive returns the files of a short drive with few stops, at which the
// air in the bay answers to motion by less than it wanders. Invented: to
// recover a planted offset.
func faintDrive(seed uint64, began time.Time) (logger, phone string) {
	r := rand.New(rand.NewPCG(seed, 3))
	var a, b strings.Builder
	a.WriteString("Date,Time,CH1 (°C)\n")
	b.WriteString("time,speed (km/h)\n")
	speed, want, hold, air, wander := 0.0, 15.0, 60, 30.0, 0.0
	for s := range 600 {
		if hold--; hold < 0 {
			want, hold = 6+18*r.Float64(), 40+r.IntN(120)
			if r.Float64() < 0.3 {
				want, hold = 0, 10+r.IntN(25)
			}
		}
		speed += max(-2, min(1.2, want-speed))
		air += (30 + 4*math.Exp(-speed/4) - air) / 35
		wander += -wander/25 + 0.5*math.Sqrt(2.0/25)*r.NormFloat64()
		fmt.Fprintf(&b, "%s,%.2f\n", began.Add(time.Duration(s)*time.Second).Format("2006-01-02T15:04:05Z"), 3.6*speed)
		if s%2 == 0 {
			at := began.Add(time.Duration(s-slowLogger) * time.Second)
			fmt.Fprintf(&a, "%s,%s,%.1f\n", at.Format("2006-01-02"), at.Format("15:04:05"), air+wander)
		}
	}
	return a.String(), b.String()
}

// faintCampaign writes a campaign of such drives and returns its path.
func faintCampaign(t *testing.T, drives uint64) string {
	t.Helper()
	dir := t.TempDir()
	text := "[car]\nname = \"van\"\n[engine]\n[[configuration]]\nname = \"as it was\"\n" +
		"[[device]]\nname = \"phone\"\n[device.channels]\nspeed = \"speed\"\n" +
		"[[device]]\nname = \"logger\"\ntime-zone = \"UTC\"\n[device.channels]\n\"1\" = \"engine-bay\"\n"
	for k := range drives {
		logger, phone := faintDrive(k, begin.Add(time.Duration(k)*25*time.Hour))
		write(t, dir, fmt.Sprintf("logger-%d.csv", k), logger)
		write(t, dir, fmt.Sprintf("phone-%d.csv", k), phone)
		text += fmt.Sprintf("[[drive]]\nname = \"drive %d\"\nconfiguration = \"as it was\"\n[[drive.file]]\npath = \"phone-%d.csv\"\ndevice = \"phone\"\n[[drive.file]]\npath = \"logger-%d.csv\"\ndevice = \"logger\"\n", k, k, k)
	}
	write(t, dir, "campaign.toml", text)
	return dir + "/campaign.toml"
}

// Four drives of one logger that each can't be told are told together, whether
// all are opened or one.
func TestClocksAreToldTogether(t *testing.T) {
	path := faintCampaign(t, 4)
	c, err := campaign.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range c.DriveNames() { // each alone
		r, err := c.Request(name)
		if err != nil {
			t.Fatal(err)
		}
		d, err := drive.Join(r)
		if err != nil {
			t.Fatal(err)
		}
		if !d.ClocksOpen() || d.Clocks[1].Aligned() {
			t.Errorf("%s is told alone, and the test wants none: %v", name, d.Clocks)
		}
	}
	check := func(d *drive.Drive) {
		t.Helper()
		k := d.Clocks[1]
		if r := k.Result; !k.Aligned() || r.Method != clock.SeveralDrives || r.Drives < 2 || !r.Interval.Contains(slowLogger) || r.Interval.Duration() > 60 {
			t.Errorf("%s: %v", d.Name, k)
		}
		if !d.Clocks[0].Reference {
			t.Errorf("%s: the drive's clock is no more the phone's: %v", d.Name, d.Clocks)
		}
		if text := d.Quality().String(); !strings.Contains(text, "several drives together") {
			t.Errorf("the quality does not say so:\n%s", text)
		}
	}
	d, err := c.Drive("drive 2")
	if err != nil {
		t.Fatal(err)
	}
	check(d)
	all, err := c.Drives()
	if err != nil || len(all) != 4 {
		t.Fatalf("%d drives, error %v", len(all), err)
	}
	for _, d := range all {
		check(d)
	}
}

// One drive has no others to ask, and stays as it is.
func TestOneDriveIsNotToldTogether(t *testing.T) {
	c, err := campaign.Open(faintCampaign(t, 1))
	if err != nil {
		t.Fatal(err)
	}
	d, err := c.Drive("drive 0")
	if err != nil || d.Clocks[1].Aligned() {
		t.Errorf("%v, error %v", d, err)
	}
}
