package delimited

import (
	"io"
	"sync"

	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/plan"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/source"
	"github.com/bonnetbook/bonnetbook/pkg/recording/internal/table"
)

// stream cuts the file into chunks, parses them on several goroutines and puts
// the blocks back in order. Memory is that of a few chunks and of the result.
func stream(src *source.Source, p *plan.Plan, t *table.Table, workers int) error {
	chunks := src.Chunks(workers + 2)
	blocks := make(chan *block, workers+2) // in order
	work := make(chan *block, workers+2)
	pool := sync.Pool{New: func() any { return &block{} }}
	var failure error
	go func() {
		defer close(blocks)
		defer close(work)
		for first := true; ; first = false {
			ch, err := chunks.Next()
			if err != nil {
				if err != io.EOF {
					failure = err
				}
				return
			}
			b := pool.Get().(*block)
			b.reset(ch, len(p.Columns))
			if first {
				b.header = -1 // marks the block that begins the file
			}
			blocks <- b
			work <- b
		}
	}()
	for range workers {
		go func() {
			r := plan.NewParser(p)
			for b := range work {
				b.parse(r)
				close(b.done)
			}
		}()
	}
	g := gatherer{t: t, p: p}
	for b := range blocks {
		<-b.done
		g.take(b)
		chunks.Free <- b.chunk.Data[:0]
		pool.Put(b)
	}
	if failure != nil {
		return src.Fail("can't be read to its end: "+failure.Error(), "copy it again from the device", failure)
	}
	return nil
}
