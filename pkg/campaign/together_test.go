package campaign_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
	"github.com/bonnetbook/bonnetbook/pkg/clock"
	"github.com/bonnetbook/bonnetbook/pkg/drive"
	"github.com/bonnetbook/bonnetbook/pkg/estimate"
)

// slowLogger is by how many seconds the logger's clock is behind the phone's.
const slowLogger = 37

// faintDrive returns the files of a short drive with few stops, at which the
// air in the bay answers to motion by up to warmth in kelvin; with 4 K by less than
// it wanders. Invented: to recover a planted offset.
func faintDrive(seed uint64, began time.Time, warmth float64) (logger, phone string) {
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
		air += (30 + warmth*math.Exp(-speed/4) - air) / 35
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
		logger, phone := faintDrive(k, begin.Add(time.Duration(k)*25*time.Hour), 4)
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

// neverSet writes a campaign of a phone and a logger that knows nothing of
// motion, only the coolant, and whose clock began in the year 2000. The logger is
// switched on lead seconds before the phone; the file of the drive "other" is that
// of another day.
func neverSet(t *testing.T, lead []int, other int) string {
	t.Helper()
	dir := t.TempDir()
	text := "[car]\nname = \"van\"\n[engine]\n[[configuration]]\nname = \"as it was\"\n" +
		"[[device]]\nname = \"logger\"\n[device.channels]\n\"1\" = \"coolant\"\n" +
		"[[device]]\nname = \"phone\"\n[device.channels]\nspeed = \"speed\"\n"
	for k, ahead := range lead {
		began := begin.Add(time.Duration(k) * 25 * time.Hour)
		var a, b strings.Builder
		a.WriteString("Date,Time,CH1 (°C)\n")
		b.WriteString("time,speed (km/h)\n")
		for s := range 900 {
			fmt.Fprintf(&b, "%s,%.2f\n", began.Add(time.Duration(s)*time.Second).Format("2006-01-02T15:04:05Z"), 40+30*math.Sin(float64(s)/70))
			at := began.Add(time.Duration(s-ahead-shortClock) * time.Second)
			if k == other {
				at = at.Add(-24 * time.Hour)
			}
			fmt.Fprintf(&a, "%s,%s,%.1f\n", at.Format("2006-01-02"), at.Format("15:04:05"), 20+70*(1-math.Exp(-float64(s)/400)))
		}
		write(t, dir, fmt.Sprintf("logger-%d.csv", k), a.String())
		write(t, dir, fmt.Sprintf("phone-%d.csv", k), b.String())
		text += fmt.Sprintf("[[drive]]\nname = \"drive %d\"\nconfiguration = \"as it was\"\n[[drive.file]]\npath = \"logger-%d.csv\"\ndevice = \"logger\"\n[[drive.file]]\npath = \"phone-%d.csv\"\ndevice = \"phone\"\n", k, k, k)
	}
	write(t, dir, "campaign.toml", text)
	return dir + "/campaign.toml"
}

// shortClock is by how many seconds the clock that was never set is behind.
const shortClock = 820_796_000

// No drive is lost because a logger's date was never set: when the devices
// recorded tells its clock within a minute. A file of another day stays an error.
func TestDriveTimesTellAClockThatWasNeverSet(t *testing.T) {
	c, err := campaign.Open(neverSet(t, []int{5, -12, 20, 0}, 3))
	if err != nil {
		t.Fatal(err)
	}
	set, err := c.Gather()
	if err != nil {
		t.Fatal(err)
	}
	if len(set.Drives) != 3 || len(set.LeftOut) != 1 || set.LeftOut[0].Drive != "drive 3" || !errors.Is(set.LeftOut[0].Why, drive.ErrNoOverlap) {
		t.Fatalf("%d drives, left out %v", len(set.Drives), set.LeftOut)
	}
	for _, d := range set.Drives {
		found := false
		for _, k := range d.Clocks {
			if k.Reference {
				continue
			}
			found = true
			want := float64(shortClock)
			if k.Device == "phone" {
				want = -want
			}
			if r := k.Result; r.Method != clock.DriveTimes || r.Drives != 3 || !r.Interval.Contains(want) || r.Interval.Duration() > 180 {
				t.Errorf("%s: %v", d.Name, k)
			}
		}
		if !found || !d.Has(drive.Coolant, drive.Speed) {
			t.Errorf("%s has clocks %v and roles %v", d.Name, d.Clocks, d.RoleList())
		}
	}
	if d, err := c.Drive("drive 1"); err != nil || len(d.Clocks) != 2 {
		t.Errorf("one drive of them: %v, error %v", d, err)
	}
}

// A draft that looks closer knows the clock of a logger as well as the readings of
// all its drives do; without, as well as when they began and ended does.
func TestDraftLooksCloser(t *testing.T) {
	dir := t.TempDir()
	for k := range uint64(3) {
		logger, phone := faintDrive(k, begin.Add(time.Duration(k)*25*time.Hour), 40)
		write(t, dir, fmt.Sprintf("logger-%d.csv", k), strings.Replace(logger, "CH1", "T1 bonnet", 1))
		write(t, dir, fmt.Sprintf("phone-%d.csv", k), phone)
	}
	for closer, widest := range map[bool]float64{false: 200, true: 60} {
		s, err := campaign.DraftWith(dir, campaign.DraftOptions{Closer: closer})
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range s.Devices {
			c := d.Clock
			if strings.HasPrefix(d.Name, "phone") {
				continue
			}
			if !(c.Low <= slowLogger && slowLogger <= c.High) || !(c.High-c.Low < widest) || closer && math.Abs(c.Offset-slowLogger) > 10 {
				t.Errorf("closer %v: %s %+v, want %d s", closer, d.Name, c, slowLogger)
			}
		}
	}
}

// addUndated adds a file without a date, whose place in the drive nothing tells,
// to the last drive of a campaign.
func addUndated(t *testing.T, path string) {
	t.Helper()
	var reader strings.Builder
	reader.WriteString("seconds,oil temp (°C)\n")
	for k := range 600 {
		fmt.Fprintf(&reader, "%d,90.0\n", k)
	}
	write(t, filepath.Dir(path), "reader.csv", reader.String())
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	more := string(text) + "[[drive.file]]\npath = \"reader.csv\"\ndevice = \"reader\"\n"
	more = strings.Replace(more, "[[drive]]", "[[device]]\nname = \"reader\"\n[device.channels]\n\"oil temp\" = \"oil\"\n[[drive]]", 1)
	write(t, filepath.Dir(path), "campaign.toml", more)
}

// A file without a date whose place in the drive nothing tells is left out, and
// said so; the drive is not lost with it.
func TestDriveHoldsWithoutAnUndatedFile(t *testing.T) {
	path := faintCampaign(t, 1)
	addUndated(t, path)
	c, err := campaign.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	d, err := c.Drive("drive 0")
	if err != nil {
		t.Fatal(err)
	}
	said := ""
	for _, n := range d.Notes {
		if n.Subject == "reader" && n.Kind == estimate.LostReadings {
			said = n.Text
		}
	}
	if d.Has(drive.Oil) || !d.Has(drive.Speed, drive.EngineBay) || !strings.Contains(said, "reader.csv is left out of the drive") || !strings.Contains(said, "clock-offset") {
		t.Errorf("roles %v, it says %q", d.RoleList(), said)
	}
}

// Names of a throttle's position in five languages give its role, with a percent
// sign and without; so do those of the accelerator pedal, and no other's.
func TestDraftKnowsAThrottle(t *testing.T) {
	for name, want := range map[string]drive.Role{
		"throttle position": drive.Throttle, "throttle position (%)": drive.Throttle, "TPS": drive.Throttle, "Drosselklappe [%]": drive.Throttle,
		"papillon": drive.Throttle, "mariposa (%)": drive.Throttle, "farfalla": drive.Throttle,
		"Accelerator pedal position D": drive.Throttle, "Accelerator PedalPosition E (%)": drive.Throttle, "APP": drive.Throttle, "APP D [%]": drive.Throttle, "Fahrpedal": drive.Throttle, "Gaspedal (%)": drive.Throttle,
		"pédale d'accélérateur": drive.Throttle, "pedal del acelerador": drive.Throttle, "pedale acceleratore (%)": drive.Throttle,
		"brake pedal (%)": "ignore",
	} {
		dir := t.TempDir()
		var b strings.Builder
		fmt.Fprintf(&b, "Date;Time;%s;T1 intake (°C)\n", name)
		for k := range 300 {
			at := begin.Add(time.Duration(2*k) * time.Second)
			fmt.Fprintf(&b, "%s;%s;%.1f;%.1f\n", at.Format("2006-01-02"), at.Format("15:04:05"), 20+15*math.Sin(float64(k)/20), 20+float64(k)/30)
		}
		write(t, dir, "log.csv", b.String())
		s, err := campaign.Draft(dir)
		if err != nil {
			t.Fatal(err)
		}
		if c := s.Devices[0].Columns[0]; c.Role != string(want) {
			t.Errorf("%q is taken for %q, want %q", name, c.Role, want)
		}
	}
}

// A throttle's sensor in volts or counts is asked about: its opening is not known.
func TestDraftAsksAboutThrottleInVolts(t *testing.T) {
	dir := t.TempDir()
	var b strings.Builder
	b.WriteString("Date;Time;TPS;Gaspedal;T1;T2 intake (°C)\n")
	for k := range 300 {
		at, pressed := begin.Add(time.Duration(2*k)*time.Second), math.Sin(float64(k)/20)
		fmt.Fprintf(&b, "%s;%s;%.2f;%.0f;%.1f;%.1f\n", at.Format("2006-01-02"), at.Format("15:04:05"), 2.4+1.9*pressed, 128+120*pressed, 18+pressed, 30+float64(k)/30)
	}
	write(t, dir, "log.csv", b.String())
	s, err := campaign.Draft(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range s.Devices[0].Columns[:2] {
		if c.Role != campaign.Undecided {
			t.Errorf("%q is taken for %q", c.Name, c.Role)
		}
	}
}

// A drive without its undated file is told together with the others as any other.
func TestDriveWithoutAnUndatedFileIsToldTogether(t *testing.T) {
	path := faintCampaign(t, 4)
	addUndated(t, path)
	c, err := campaign.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	d, err := c.Drive("drive 3")
	if err != nil {
		t.Fatal(err)
	}
	if len(d.Clocks) != 2 || d.Clocks[1].Result.Method != clock.SeveralDrives || !d.Clocks[1].Result.Interval.Contains(slowLogger) {
		t.Errorf("%v", d.Clocks)
	}
	if !slices.ContainsFunc(d.Notes, func(n estimate.Warning) bool { return n.Subject == "reader" && n.Kind == estimate.LostReadings }) {
		t.Errorf("it does not say that a file is left out: %v", d.Notes)
	}
}
