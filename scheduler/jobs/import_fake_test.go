package jobs

import (
	"context"
	"fmt"
	"iter"
	"strings"
	"time"

	"limbround/scheduler"
)

// fakeStore records the calls an import makes. It holds no rules of its own:
// what the database finds is given beforehand.
type fakeStore struct {
	city   scheduler.City
	calls  []string
	rows   []scheduler.Row
	counts scheduler.BatchCounts
	faults map[int]scheduler.Fault // by line, found by CheckStaged
	merge  map[int]bool
	fail   string // the call that fails
	// noSystem makes CheckStaged refuse a city without coordinate system.
	noSystem bool
}

func (s *fakeStore) did(call string) error {
	s.calls = append(s.calls, call)
	if s.fail != "" && strings.HasPrefix(call, s.fail) {
		return scheduler.Errorf(scheduler.Unavailable, "the database is away")
	}
	return nil
}

func (s *fakeStore) City(context.Context) (scheduler.City, error) { return s.city, nil }

func (s *fakeStore) SetCitySRID(_ context.Context, srid int, _ scheduler.Stamp) error {
	s.city.SRID = srid
	return s.did(fmt.Sprintf("SetCitySRID %d", srid))
}

func (s *fakeStore) Species(context.Context) ([]scheduler.Species, error) {
	return scheduler.SpeciesTable()
}

func (s *fakeStore) OpenBatch(_ context.Context, layer, file string, by scheduler.Stamp) (int64, error) {
	return 7, s.did("OpenBatch " + layer + " " + file + " " + by.Actor)
}

func (s *fakeStore) Stage(_ context.Context, _ int64, _ scheduler.Layer, rows iter.Seq[scheduler.Row]) (int64, error) {
	for r := range rows {
		if s.fail == "Stage" {
			break
		}
		s.rows = append(s.rows, r)
	}
	return int64(len(s.rows)), s.did("Stage")
}

func (s *fakeStore) CheckStaged(_ context.Context, _ int64, _ scheduler.Layer, today scheduler.Date) (scheduler.Diff, error) {
	if err := s.did("CheckStaged " + today.String()); err != nil {
		return scheduler.Diff{}, err
	}
	if s.noSystem && s.city.SRID == 0 {
		return scheduler.Diff{}, scheduler.Errorf(scheduler.Clash, "the city has no coordinate system yet")
	}
	var d scheduler.Diff
	for _, r := range s.rows {
		switch f, bad := s.faults[r.Line]; {
		case bad:
			f.Line = r.Line
			d.Faults = append(d.Faults, f, f)
		case s.merge[r.Line]:
			d.Merged++
		default:
			d.New++
		}
	}
	return d, nil
}

func (s *fakeStore) ApplyBatch(_ context.Context, _ int64, _ scheduler.Layer, c scheduler.BatchCounts, _ scheduler.Stamp) error {
	s.counts = c
	return s.did("ApplyBatch")
}

func (s *fakeStore) DiscardBatch(context.Context, int64, scheduler.Stamp) error {
	return s.did("DiscardBatch")
}

func (s *fakeStore) UndoBatch(_ context.Context, batch int64, _ scheduler.Stamp) (scheduler.UndoResult, error) {
	return scheduler.UndoResult{Batch: batch, Removed: 3}, s.did("UndoBatch")
}

// noon is the clock of the tests: the morning of 25 November 2026 in the city.
func noon() time.Time { return time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC) }

var testToday = scheduler.NewDate(2026, 11, 25)

func newFake() *fakeStore {
	return &fakeStore{city: scheduler.City{TimeZone: "America/New_York", SRID: 32618}}
}
