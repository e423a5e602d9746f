package storetest

import (
	"context"
	"maps"
	"slices"
	"sync"
	"testing"
	"time"

	"limbround/scheduler"
)

// Memory is a store without a database: a second statement, in the plainest
// words there are, of what a store does. A write works on a copy of everything,
// holds the copy against the rules (memory_rule.go), and puts it in the place of
// the old state only when both answer nil; so a write that fails has never been.
// A state that was put in place is not written again, which makes reading it
// safe without a lock.
//
// It looks at every row for every question. Areas are taken as they are drawn,
// and positions in degrees or in the city's own UTM zone; making odd shapes
// valid is PostGIS's own business and no part of the contract.
type Memory struct {
	mu   sync.Mutex // guards now
	now  *state
	pass sync.Mutex // a due pass waits for the one before it
}

// state is every row there is. Rows are values, and the lists inside them are
// never changed in place, so that copying the maps copies all of it.
type state struct {
	last     int64 // the id given out last; all tables draw on one row of numbers
	city     scheduler.City
	species  map[string]scheduler.Species
	policies []policyRow    // oldest first
	items    map[int64]item // rows of every layer but trees and past visits
	sites    map[int64]siteRow
	trees    map[int64]treeRow
	watch    map[int64]scheduler.WatchItem
	measures []measureRow
	visits   map[int64]visitRow
	runs     []dueRun
	looked   map[int64]look // by tree
	nights   map[scheduler.Date]night
	plans    map[int64]scheduler.Plan
	packets  map[int64]scheduler.Packet
	keys     map[string]recordKey
	records  []recordRow
	bases    map[int64]base // by tree
	follow   map[int64]scheduler.FollowUp
	hazards  []hazardRow
	departed []scheduler.Deviation
	batches  map[int64]batchRow
	changes  []change
	marks    map[mark]time.Time
	jobs     []scheduler.JobStatus
	jobArgs  map[int64]string
}

// NewMemory makes an empty store with the built-in species and policy, in a
// city whose clocks run on UTC.
func NewMemory(t testing.TB) *Memory {
	t.Helper()
	s := &state{
		city:    scheduler.City{TimeZone: "UTC", Units: "us", FiscalMonth: 1},
		species: map[string]scheduler.Species{}, items: map[int64]item{}, sites: map[int64]siteRow{}, trees: map[int64]treeRow{},
		watch: map[int64]scheduler.WatchItem{}, visits: map[int64]visitRow{}, plans: map[int64]scheduler.Plan{},
		packets: map[int64]scheduler.Packet{}, keys: map[string]recordKey{}, follow: map[int64]scheduler.FollowUp{},
		batches: map[int64]batchRow{}, marks: map[mark]time.Time{}, jobArgs: map[int64]string{}, bases: map[int64]base{},
		looked: map[int64]look{}, nights: map[scheduler.Date]night{},
	}
	list, err := scheduler.SpeciesTable()
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range list {
		s.species[x.Code] = x
	}
	text, err := scheduler.Preset("lower-midwest")
	if err != nil {
		t.Fatal(err)
	}
	p, err := scheduler.ParsePolicy(text)
	if err != nil {
		t.Fatal(err)
	}
	s.addPolicy(text, p)
	return &Memory{now: s}
}

func (s *state) clone() *state {
	c := *s
	c.species, c.items, c.sites, c.trees = maps.Clone(s.species), maps.Clone(s.items), maps.Clone(s.sites), maps.Clone(s.trees)
	c.watch, c.visits, c.plans, c.packets = maps.Clone(s.watch), maps.Clone(s.visits), maps.Clone(s.plans), maps.Clone(s.packets)
	c.keys, c.follow, c.batches, c.marks = maps.Clone(s.keys), maps.Clone(s.follow), maps.Clone(s.batches), maps.Clone(s.marks)
	c.bases, c.jobArgs, c.jobs = maps.Clone(s.bases), maps.Clone(s.jobArgs), slices.Clone(s.jobs)
	c.looked, c.nights = maps.Clone(s.looked), maps.Clone(s.nights)
	c.policies, c.measures, c.runs = slices.Clone(s.policies), slices.Clone(s.measures), slices.Clone(s.runs)
	c.departed = slices.Clone(s.departed)
	c.records, c.hazards, c.changes = slices.Clone(s.records), slices.Clone(s.hazards), slices.Clone(s.changes)
	return &c
}

func (s *state) id() int64 {
	s.last++
	return s.last
}

func (m *Memory) read() *state {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.now
}

// write runs fn on a copy and keeps it when fn and the rules find no fault.
func (m *Memory) write(ctx context.Context, fn func(*state) error) error {
	if err := ctx.Err(); err != nil {
		return scheduler.Wrap(scheduler.Unavailable, "write", err)
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	next := m.now.clone()
	if err := fn(next); err != nil {
		return err
	}
	if err := next.broken(); err != nil {
		return err
	}
	m.now = next
	return nil
}

// signed refuses a write without a person or a time.
func signed(by scheduler.Stamp) error {
	if by.Actor == "" || by.At.IsZero() {
		return scheduler.Errorf(scheduler.Invalid, "a write must say who does it and when")
	}
	return nil
}

// byID returns the rows of a table that take answers yes to, oldest first.
func byID[T any](table map[int64]T, take func(*T) bool) []T {
	var out []T
	for _, id := range slices.Sorted(maps.Keys(table)) {
		if row := table[id]; take(&row) {
			out = append(out, row)
		}
	}
	return out
}
