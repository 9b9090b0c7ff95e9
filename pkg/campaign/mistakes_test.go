package campaign_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/pkg/campaign"
)

// TestMistakes makes the mistakes that people make. Each is told with its
// line, what was found, what is wanted and what to do.
func TestMistakes(t *testing.T) {
	for _, c := range []struct {
		what, old, fresh string
		line             int // of the problem, in the valid campaign
		found, wanted    string
	}{
		{"negative displacement", `"1598 cm3"`, `"-1598 cm3"`, 5, `"-1598 cm3"`, "50 cm³ to 30000 cm³"},
		{"ethanol by a pump's name", `name = "cold-air duct"`, "name = \"cold-air duct\"\nethanol = \"E10\"", 23, `ethanol: ethanol "E10"`, "5 to 10 %"},
		{"ethanol without a unit", `name = "cold-air duct"`, "name = \"cold-air duct\"\nethanol = 0.10", 23, "ethanol: found the number 0.1", `"5 to 10 %"`},
		{"ethanol of more than all", `name = "cold-air duct"`, "name = \"cold-air duct\"\nethanol = \"110 %\"", 23, "ethanol", "0 to 100 %"},
		{"boiling bowl", `name = "cold-air duct"`, "name = \"cold-air duct\"\nbowl-temperature = \"350 degC\"", 23, `bowl-temperature: "350 degC"`, "120"},
		{"list for text", `name = "demo saloon"`, `name = ["demo", "saloon"]`, 2, "a list", "text in quotation marks"},
		{"text for a table", "[car]\nname = \"demo saloon\"\nmass = \"1050 kg\"\n", "car = \"demo saloon\"\n", 1, `"demo saloon"`, "a table [car]"},
		{"text for a number", `compression-ratio = 9.0`, `compression-ratio = "9:1"`, 9, `"9:1"`, "plain number is wanted, for example 9.0"},
		{"number for text", `name = "cold-air duct"`, `name = 2`, 22, "the number 2", `"open filters"`},
		{"unknown part", "[engine]\n", "[gearbox]\nratio = 3.9\n[engine]\n", 4, "gearbox", "allowed are car, engine, units, warm, configuration, question, device, drive"},
		{"unknown unit", `"82 degC"`, `"82 grad"`, 17, `"grad" is not a unit of temperature`, "degC"},
		{"drive without device", "device = \"phone\"\n", "", 47, "device: this key is missing", `device = "logger A"`},
		{"drive without files", "[[drive.file]]\npath = \"open-1-a.csv\"\ndevice = \"logger A\"\nclock-offset = \"0 s\"\n[[drive.file]]\npath = \"open-1-phone.csv\"\ndevice = \"phone\"\nclock-offset = \"12.5 s\"\n", "", 38, "there is none", "[[drive.file]]"},
		{"drive without configuration", "configuration = \"open filters\"\n", "", 38, "configuration: this key is missing", `configuration = "open filters"`},
		{"bad date", `layout = "auto"`, `layout = { date = "2026-02-30" }`, 25, `"2026-02-30"`, "date like 2018-02-14"},
		{"bad time of an event", `clock-offset = "12.5 s"`, `sync = ["25:61"]`, 50, `"25:61" is not a time`, "2026-05-03 10:14:05"},
		{"bad zone", `"UTC"`, `"Europe/Berlinn"`, 26, `"Europe/Berlinn" is not a time zone`, `"Europe/Berlin"`},
		{"two devices of one name", `name = "phone"`, `name = "logger A"`, 35, `already a device "logger A"`, "a name of its own"},
		{"two configurations of one name", `name = "cold-air duct"`, `name = "open filters"`, 22, `already a configuration "open filters"`, "a name of its own"},
		{"one file twice in a drive", `path = "open-1-phone.csv"`, `path = "open-1-a.csv"`, 48, `"open-1-a.csv"`, "counts once"},
		{"a folder for a file", `path = "open-1-phone.csv"`, `path = "logs"`, 48, `"logs" is a folder`, "name the file in it"},
		{"a link that leads out", `path = "open-1-phone.csv"`, `path = "link.csv"`, 48, `"link.csv"`, "leads out of the campaign's folder"},
		{"a link that leads nowhere", `path = "open-1-phone.csv"`, `path = "dangling.csv"`, 48, `"dangling.csv"`, "link"},
		{"a path with backslashes", `path = "open-1-phone.csv"`, `path = 'logs\open.csv'`, 48, `logs\\open.csv`, "forward slashes"},
		{"a path whose backslash makes a tab", `path = "open-1-phone.csv"`, `path = "logs\tuesday.csv"`, 48, `logs\tuesday.csv`, "forward slashes"},
		{"a path whose backslash makes nothing", `path = "open-1-phone.csv"`, `path = "logs\open.csv"`, 48, "escape", `write folders with forward slashes`},
		{"one file in two drives", "clock-offset = \"12.5 s\"\n", "[[drive]]\nname = \"second\"\nconfiguration = \"open filters\"\n[[drive.file]]\npath = \"./open-1-a.csv\"\ndevice = \"logger A\"\n", 54, `no other files than drive "open filters, first run"`, "[[drive.exclude]]"},
		{"stretch that ends first", `clock-offset = "12.5 s"`, "[[drive.exclude]]\nfrom = \"20 s\"\nto = \"10 s\"\nreason = \"stop\"", 52, "ends before it begins", "from"},
		{"no closing quote", `mass = "1050 kg"`, `mass = "1050 kg`, 3, "", "quotation marks"},
		{"curly quotes", `mass = "1050 kg"`, `mass = “1050 kg”`, 3, "", "straight quotation marks"},
		{"no value", `mass = "1050 kg"`, `mass =`, 3, "", "key = value"},
		{"not a number", `compression-ratio = 9.0`, `compression-ratio = 9,0`, 9, "", "decimal point"},
		{"no bracket", `[car]`, `[car`, 1, "", "bracket"},
	} {
		t.Run(c.what, func(t *testing.T) {
			path := folder(t, with(t, c.old, c.fresh))
			dir := filepath.Dir(path)
			if err := os.Mkdir(filepath.Join(dir, "logs"), 0o755); err != nil {
				t.Fatal(err)
			}
			outside := filepath.Join(t.TempDir(), "outside.csv")
			write(t, filepath.Dir(outside), "outside.csv", "a")
			for name, to := range map[string]string{"link.csv": outside, "dangling.csv": "gone.csv"} {
				if err := os.Symlink(to, filepath.Join(dir, name)); err != nil {
					t.Skip(err)
				}
			}
			_, err := campaign.Open(path)
			var ps campaign.Problems
			if !errors.As(err, &ps) {
				t.Fatalf("error %v, want Problems", err)
			}
			if ps[0].Line != c.line || ps[0].File != path {
				t.Errorf("%s:%d, want line %d", ps[0].File, ps[0].Line, c.line)
			}
			for _, s := range []string{c.found, c.wanted} {
				if !strings.Contains(ps[0].Error(), s) {
					t.Errorf("%q does not say %q", ps[0], s)
				}
			}
		})
	}
}

// TestNoCampaignFile opens what is no campaign file.
func TestNoCampaignFile(t *testing.T) {
	logger, _ := logs(60)
	for _, c := range []struct {
		what, text string
		line       int
		says       []string
	}{
		{"empty", "", 1, []string{"the file is empty", "campaign.Draft"}},
		{"comments only", "# nothing yet\n\n", 1, []string{"the file is empty", "campaign.Draft"}},
		{"binary", "\x7fELF\x02\x01\x01" + strings.Repeat("\x00\x01\xfe", 400), 1, []string{"is not text", "UTF-8"}},
		{"UTF-16", "\xff\xfe[\x00c\x00a\x00r\x00]\x00\n\x00", 1, []string{"UTF-16", "UTF-8"}},
		{"Windows-1252", "[car]\nname = \"Stra\xdfe\"\n", 2, []string{"UTF-8"}},
		{"a log", logger, 1, []string{"log", "campaign.Draft"}},
	} {
		t.Run(c.what, func(t *testing.T) {
			_, err := campaign.Open(folder(t, c.text))
			var ps campaign.Problems
			if !errors.As(err, &ps) || ps[0].Line != c.line {
				t.Fatalf("error %v, want Problems in line %d", err, c.line)
			}
			for _, s := range c.says {
				if !strings.Contains(err.Error(), s) {
					t.Errorf("%q does not say %q", err, s)
				}
			}
		})
	}
}

// TestMarksOfEditors reads files that begin with a byte order mark and end
// their lines in CRLF, as editors write them.
func TestMarksOfEditors(t *testing.T) {
	for _, text := range []string{"\ufeff" + valid, strings.ReplaceAll(valid, "\n", "\r\n"), "\ufeff" + strings.ReplaceAll(valid, "\n", "\r\n")} {
		if _, err := campaign.Open(folder(t, text)); err != nil {
			t.Error(err)
		}
	}
}

// TestUnreadableLog names a log that the person may not read.
func TestUnreadableLog(t *testing.T) {
	path := folder(t, valid)
	if err := os.Chmod(filepath.Join(filepath.Dir(path), "open-1-a.csv"), 0); err != nil {
		t.Fatal(err)
	}
	if f, err := os.Open(filepath.Join(filepath.Dir(path), "open-1-a.csv")); err == nil {
		f.Close()
		t.Skip("this user may read every file")
	}
	_, err := campaign.Open(path)
	var ps campaign.Problems
	if !errors.As(err, &ps) || ps[0].Line != 44 || !strings.Contains(err.Error(), `you may not read "open-1-a.csv"`) || !strings.Contains(err.Error(), "permissions") {
		t.Errorf("error %v", err)
	}
}

// TestTrackOfAnEvening lets two drives with logs of their own share a track.
func TestTrackOfAnEvening(t *testing.T) {
	text := valid + "[[drive]]\nname = \"second\"\nconfiguration = \"open filters\"\n[[drive.file]]\npath = \"open-2-a.csv\"\ndevice = \"logger A\"\n[[drive.file]]\npath = \"open-1-phone.csv\"\ndevice = \"phone\"\n"
	path := folder(t, text)
	logger, _ := logs(600)
	write(t, filepath.Dir(path), "open-2-a.csv", logger)
	if _, err := campaign.Open(path); err != nil {
		t.Error(err)
	}
}
