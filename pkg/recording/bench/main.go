//go:build unix

// Command bench measures how fast a logger's text export is read, beside
// pandas' C reader on the same file. compare.sh runs both.
//
//	go run ./pkg/recording/bench write FILE ROWS   writes a file of date, time, four temperatures
//	go run ./pkg/recording/bench read FILE         reads it and prints time and peak memory
package main

import (
	"bufio"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"syscall"
	"time"

	"github.com/bonnetbook/bonnetbook/pkg/quantity"
	"github.com/bonnetbook/bonnetbook/pkg/recording"
)

func main() {
	if err := run(os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run(args []string) error {
	switch {
	case len(args) == 3 && args[0] == "write":
		rows, err := strconv.Atoi(args[2])
		if err != nil {
			return err
		}
		return write(args[1], rows)
	case len(args) == 2 && args[0] == "read":
		return read(args[1])
	}
	return fmt.Errorf("usage: bench write FILE ROWS, or bench read FILE")
}

// write makes rows one second apart whose temperatures wander.
func write(path string, rows int) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	w := bufio.NewWriterSize(f, 1<<20)
	fmt.Fprintln(w, "Date,Time,T1 (°C),T2 (°C),T3 (°C),T4 (°C)")
	r := rand.New(rand.NewPCG(1, 2))
	t := time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC)
	v := [4]float64{15, 20, 40, 85}
	var line []byte
	for range rows {
		line = t.AppendFormat(line[:0], "2006-01-02,15:04:05")
		for i := range v {
			v[i] = math.Min(120, math.Max(-20, v[i]+r.NormFloat64()*0.1))
			line = strconv.AppendFloat(append(line, ','), v[i], 'f', 1, 64)
		}
		w.Write(append(line, '\n'))
		t = t.Add(time.Second)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	return f.Close()
}

func read(path string) error {
	start := time.Now()
	r, err := recording.Open(path, recording.Options{})
	if err != nil {
		return err
	}
	took, cpu := time.Since(start), cpuTime()
	sum := 0.0
	for _, c := range r.Columns {
		for _, v := range c.Series.Value {
			sum += quantity.Kelvin(v).Celsius()
		}
	}
	result := float64(r.Rows()) * 8 * float64(len(r.Columns)+1) / 1e6
	peak := peakMemory()
	fmt.Printf("recording  rows %9d  %7.3f s  %6.0f ns/row  CPU %6.3f s  sum %.1f  result %4.0f MB  peak RSS %4.0f MB  peak/result %.2f\n",
		r.Rows(), took.Seconds(), float64(took.Nanoseconds())/float64(r.Rows()), cpu.Seconds(), sum, result, peak, peak/result)
	return nil
}

// cpuTime returns the processor time of this process so far, which a busy
// machine changes less than the time on the clock.
func cpuTime() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// peakMemory returns the largest resident set of this process in MB, as Linux
// reports it; NaN elsewhere.
func peakMemory() float64 {
	text, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return math.NaN()
	}
	for _, l := range strings.Split(string(text), "\n") {
		if f := strings.Fields(l); len(f) >= 2 && f[0] == "VmHWM:" {
			kb, _ := strconv.ParseFloat(f[1], 64)
			return kb / 1e3
		}
	}
	return math.NaN()
}
