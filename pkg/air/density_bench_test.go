//go:build unix

package air

import (
	"syscall"
	"testing"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
)

// sink keeps the compiler from dropping the work.
var sink float64

func samples() (p, t, h, dst []float64) {
	const n = 4096
	p, t, h, dst = make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range n {
		p[i] = 95000 + float64(i)
		t[i] = 289 + float64(i%100)*0.1
		h[i] = 0.2 + float64(i%64)*0.01
	}
	return
}

// cpuTime is the processor time that this process has used: a busy machine
// lengthens the wall clock's, not this one.
func cpuTime(b *testing.B) time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// perEvaluation reports evaluations per second of one core.
func perEvaluation(b *testing.B, start time.Duration, n int) {
	b.ReportMetric(float64(b.N)*float64(n)/(cpuTime(b)-start).Seconds()/1e6, "M/s")
	b.ReportMetric(0, "ns/op")
}

func BenchmarkDensity(b *testing.B) {
	p, t, h, _ := samples()
	b.ReportAllocs()
	start := cpuTime(b)
	for b.Loop() {
		for i := range t {
			d, _ := Density(quantity.Pressure(p[i]), quantity.Kelvin(t[i]), quantity.RelativeHumidity(h[i]))
			sink += float64(d)
		}
	}
	perEvaluation(b, start, len(t))
}

func BenchmarkDensities(b *testing.B) {
	p, t, h, dst := samples()
	b.ReportAllocs()
	start := cpuTime(b)
	for b.Loop() {
		_, _, _ = Densities(dst, p, t, h)
	}
	perEvaluation(b, start, len(t))
}

func BenchmarkDensitiesFromVapourPressure(b *testing.B) {
	p, t, _, dst := samples()
	e := []float64{1500}
	b.ReportAllocs()
	start := cpuTime(b)
	for b.Loop() {
		_, _, _ = DensitiesFromVapourPressure(dst, p, t, e)
	}
	perEvaluation(b, start, len(t))
}

func BenchmarkDensityCIPM2007(b *testing.B) {
	p, t, h, _ := samples()
	b.ReportAllocs()
	start := cpuTime(b)
	for b.Loop() {
		for i := range t {
			d, _ := DensityCIPM2007(quantity.Pressure(p[i]), quantity.Kelvin(t[i]), quantity.RelativeHumidity(h[i]))
			sink += float64(d)
		}
	}
	perEvaluation(b, start, len(t))
}

func BenchmarkDensitiesCIPM2007(b *testing.B) {
	p, t, h, dst := samples()
	b.ReportAllocs()
	start := cpuTime(b)
	for b.Loop() {
		_, _, _ = DensitiesCIPM2007(dst, p, t, h)
	}
	perEvaluation(b, start, len(t))
}

// The arithmetic of CIPM-2007 without checks, types and errors: what the two
// above are measured against.
func BenchmarkCIPM2007ArithmeticAlone(b *testing.B) {
	p, t, h, dst := samples()
	start := cpuTime(b)
	for b.Loop() {
		for i := range t {
			dst[i] = cipm2007(p[i], t[i], h[i], 0.0004)
		}
	}
	perEvaluation(b, start, len(t))
}
