// Package growth projects the size of trees. Published curves per species and
// climate region give dbh from age, then height, crown spread and crown height
// from dbh (McPherson, van Doorn & Peper 2016, Urban Tree Database, USDA Forest
// Service PSW-GTR-253, data RDS-2016-0005). A curve is read on its published
// range only and made to rise; beyond it the answer is held and says so.
//
// A tree is put on its curve at the equivalent age of what is known best:
// measured dbh, measured height, planted caliper, planting date.
package growth

import (
	"fmt"
	"strings"
	"sync"

	"limbround/scheduler"
)

// Model holds the published curves of all climate regions. It is immutable, but
// for its memory of what it matched, and safe for concurrent use.
type Model struct {
	regions map[string][]*set // in the order of scientific names
	matched sync.Map          // Curve by the traits that it was matched by: a server makes rules for one tree after every work record
}

// loadOnce reads the table the first time it is asked for: reading takes tens
// of milliseconds, and a server works out one tree after every work record.
var loadOnce = sync.OnceValues(func() (*Model, error) {
	sets, err := parseTable(curvesCSV)
	if err != nil {
		return nil, fmt.Errorf("load growth curves: %w", err)
	}
	if err := scatterOf(scatterCSV, sets); err != nil {
		return nil, fmt.Errorf("load growth curves: %w", err)
	}
	return newModel(sets), nil
})

// Load answers the embedded curves, shared by all callers since a Model never
// changes. An error is a defect of the program.
func Load() (*Model, error) { return loadOnce() }

func newModel(sets []*set) *Model {
	m := &Model{regions: map[string][]*set{}}
	for _, s := range sets {
		m.regions[s.region] = append(m.regions[s.region], s)
	}
	return m
}

// Curve returns the curve of a species in a climate region: its own, else that
// of a near relative, else that of its growth class; Curve.Fallback says which.
// The curve of an unknown region, or of a palm in a region without palms, is
// not Known.
func (m *Model) Curve(region string, sp scheduler.Species) Curve {
	key := strings.Join(append([]string{region, sp.Scientific, string(sp.Habit), sp.Growth, sp.MatureHeight.String()}, sp.Synonyms...), "\n")
	if c, known := m.matched.Load(key); known {
		return c.(Curve)
	}
	c := m.match(region, sp)
	m.matched.Store(key, c)
	return c
}

func (m *Model) match(region string, sp scheduler.Species) Curve {
	s, fallback := match(m.regions[region], sp)
	if s == nil {
		return Curve{Fallback: fallback}
	}
	c := s.curve()
	c.Fallback, c.standIn = fallback, standsIn(fallback)
	c.plantedIn(region)
	return c
}

// curve is the set as published, of no city.
func (s *set) curve() Curve {
	return Curve{Name: s.name + ", " + s.region, MinAge: s.minAge, MaxAge: s.maxAge, set: s, scale: 1}
}

// plantedIn sets the establishment lag of a climate region.
func (c *Curve) plantedIn(region string) {
	c.lagPerInch = 0
	if r, ok := RegionOf(region); ok && r.Cold {
		c.lagPerInch = 1
	}
}
