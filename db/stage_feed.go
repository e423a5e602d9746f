package db

import (
	"iter"

	"limbround/scheduler"
)

// feed takes a sequence's rows on a goroutine of its own and hands them over in
// blocks, so that reading a file goes on while rows travel to the database. At
// most feedAhead blocks wait; the sequence stands still meanwhile.
type feed struct {
	blocks chan []scheduler.Row
	block  []scheduler.Row // being handed over
	quit   chan struct{}
}

const (
	feedBlock = 256
	feedAhead = 8
)

func startFeed(rows iter.Seq[scheduler.Row]) *feed {
	f := &feed{blocks: make(chan []scheduler.Row, feedAhead), quit: make(chan struct{})}
	go f.run(rows)
	return f
}

func (f *feed) run(rows iter.Seq[scheduler.Row]) {
	defer close(f.blocks)
	block := make([]scheduler.Row, 0, feedBlock)
	for row := range rows {
		block = append(block, row)
		if len(block) < feedBlock {
			continue
		}
		if !f.send(block) {
			return
		}
		block = make([]scheduler.Row, 0, feedBlock)
	}
	if len(block) > 0 {
		f.send(block)
	}
}

func (f *feed) send(block []scheduler.Row) bool {
	select {
	case f.blocks <- block:
		return true
	case <-f.quit:
		return false
	}
}

// next returns the next row; false after the last one.
func (f *feed) next() (*scheduler.Row, bool) {
	if len(f.block) == 0 {
		var ok bool
		if f.block, ok = <-f.blocks; !ok {
			return nil, false
		}
	}
	row := &f.block[0]
	f.block = f.block[1:]
	return row, true
}

// stop ends the sequence and waits until it has let go of its file.
func (f *feed) stop() {
	close(f.quit)
	for range f.blocks { // until run closes it
	}
}
