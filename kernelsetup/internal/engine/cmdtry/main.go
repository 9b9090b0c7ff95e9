package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"runtime/pprof"
	"strings"
	"syscall"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/engine"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols"
)

func cpu() time.Duration {
	var ru syscall.Rusage
	syscall.Getrusage(0, &ru)
	return time.Duration(ru.Utime.Nano() + ru.Stime.Nano())
}

func main() {
	e, err := engine.New(engine.Options{Library: symbols.Default(), Dir: "."})
	if err != nil {
		panic(err)
	}
	b, _ := os.ReadFile(os.Args[1])
	quiet := len(os.Args) > 2
	if p := os.Getenv("CPUPROF"); p != "" {
		f, _ := os.Create(p)
		pprof.StartCPUProfile(f)
		defer pprof.StopCPUProfile()
	}
	n := 0
	for _, c := range strings.Split(string(b), "\n---\n") {
		n++
		ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
		ctx, stop := signal.NotifyContext(ctx, os.Interrupt)
		t0 := time.Now()
		u0 := cpu()
		r := e.Execute(ctx, engine.Cell{Name: fmt.Sprintf("cell %d", n), Source: c})
		d := time.Since(t0)
		u := cpu() - u0
		stop()
		cancel()
		for _, v := range r.Values {
			fmt.Printf("= %v (%v)\n", v.Value, v.Type)
		}
		for _, x := range r.Notices {
			fmt.Println("notice:", x)
		}
		if r.Err != nil {
			fmt.Println(r.Err.Traceback())
		}
		if !quiet {
			fmt.Fprintf(os.Stderr, "[cell %d wall %v cpu %v]\n", n, d, u)
		}
	}
}
