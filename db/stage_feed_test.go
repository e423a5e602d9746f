package db

import (
	"testing"

	"limbround/scheduler"
)

func TestFeedHandsOverEveryRowInOrder(t *testing.T) {
	for _, n := range []int{0, 1, feedBlock - 1, feedBlock, feedBlock*(feedAhead+3) + 7} {
		f := startFeed(func(yield func(scheduler.Row) bool) {
			for i := range n {
				if !yield(scheduler.Row{Line: i + 1}) {
					t.Errorf("%d rows: stopped at %d", n, i)
					return
				}
			}
		})
		got := 0
		for row, ok := f.next(); ok; row, ok = f.next() {
			if got++; row.Line != got {
				t.Fatalf("%d rows: line %d came as number %d", n, row.Line, got)
			}
		}
		f.stop()
		if got != n {
			t.Errorf("%d rows of %d came", got, n)
		}
	}
}

// TestFeedStopsItsSequence: an endless file is let go of before stop returns.
func TestFeedStopsItsSequence(t *testing.T) {
	ended := false // no lock: stop is what orders the two goroutines
	f := startFeed(func(yield func(scheduler.Row) bool) {
		for yield(scheduler.Row{}) {
		}
		ended = true
	})
	if _, ok := f.next(); !ok {
		t.Fatal("no row came")
	}
	f.stop()
	if !ended {
		t.Error("the sequence still runs")
	}
}
