package main

import (
	"context"
	"fmt"
	"os"
	"time"

	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/engine"
	"github.com/bonnetbook/bonnetbook/kernelsetup/internal/symbols"
)

func main() {
	e, err := engine.New(engine.Options{Library: symbols.Default()})
	if err != nil {
		panic(err)
	}
	b, _ := os.ReadFile(os.Args[1])
	os.Args = []string{"prog"}
	ctx, cancel := context.WithTimeout(context.Background(), 50*time.Second)
	defer cancel()
	r := e.Execute(ctx, engine.Cell{Name: "prog.go", Source: string(b)})
	if r.Err != nil {
		if r.Err.Kind == engine.Exit {
			os.Exit(r.Err.Code)
		}
		fmt.Println(r.Err.Traceback())
		os.Exit(1)
	}
}
