package memory

import (
	"os"
	"strings"
	"testing"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/share"
)

func TestParse(t *testing.T) {
	for text, want := range map[string]uint64{
		"1048576": 1 << 20, "512M": 512 << 20, "512MB": 512 << 20, "512 mb": 512 << 20, "8GB": 8 << 30, "8GiB": 8 << 30, "8g": 8 << 30,
		"2.5GiB": 5 << 29, "1TB": 1 << 40, "64kib": 64 << 10, " 7G ": 7 << 30, "100B": 100,
	} {
		if n, err := Parse(text); n != want || err != nil {
			t.Errorf("%q is %d, %v; want %d", text, n, err, want)
		}
	}
	for _, text := range []string{"", "GB", "lots", "8 GBs", "-1G", "0", "0x10", "1e9", "8G8", "1..2G", "9999999999T", "inf", "NaN", "8,5G"} {
		if n, err := Parse(text); err == nil {
			t.Errorf("%q was taken for %d", text, n)
		}
	}
}

func TestLimitRefusesNonsenseWithWords(t *testing.T) {
	t.Setenv(Variable, "8GB")
	if n, err := Limit(); n != 8<<30 || err != nil {
		t.Errorf("8GB gave %d, %v", n, err)
	}
	for _, text := range []string{"much", "1MB"} {
		t.Setenv(Variable, text)
		n, err := Limit()
		if n != Total()/4*3 || err == nil || !strings.Contains(err.Error(), text) || !strings.Contains(err.Error(), Variable) {
			t.Errorf("%q gave %d, %v", text, n, err)
		}
	}
}

func TestPartOfSharedMemory(t *testing.T) {
	for _, c := range []struct {
		total   uint64
		kernels int
		want    uint64
	}{
		{8 << 30, 1, 6 << 30}, {8 << 30, 2, 2 << 30}, {64 << 30, 20, 32 << 30 / 20},
		{4 << 30, 20, leastShared}, {128 << 20, 20, 96 << 20},
	} {
		if n := part(c.total, c.kernels); n != c.want {
			t.Errorf("%s for %d kernels: %s, want %s", Text(c.total), c.kernels, Text(n), Text(c.want))
		}
	}
	t.Setenv(share.Variable, "20")
	if n, err := Limit(); n != part(Total(), 20) || err != nil {
		t.Errorf("shared by 20: %d, %v", n, err)
	}
	t.Setenv(Variable, "1GB")
	if n, err := Limit(); n != 1<<30 || err != nil {
		t.Errorf("what is said goes first: %d, %v", n, err)
	}
	t.Setenv(share.Variable, "several")
	if n, err := Limit(); n != 1<<30 || err == nil || !strings.Contains(err.Error(), "several") {
		t.Errorf("nonsense: %d, %v", n, err)
	}
}

func TestThisMachine(t *testing.T) {
	if n := Total(); n < 256<<20 {
		t.Errorf("all memory is %d bytes", n)
	}
	if n := Free(); n == 0 || n > machine() {
		t.Errorf("free are %d of %d bytes", n, machine())
	}
	if n, ok := Resident(os.Getpid()); ok && (n < 1<<16 || n > 1<<34) {
		t.Errorf("this process takes %d bytes", n)
	}
}
