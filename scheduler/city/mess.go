package city

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"

	"limbround/geo"
	"limbround/scheduler"
)

// Fault is one fault planted on purpose and what an import should make of it.
type Fault struct {
	Layer  string
	Row    int    // of the layer, from 1; a CSV file's header is one line more
	Ref    string // ref of the row as it stands in the file
	Field  string // field of the layer, or "position"
	Value  string // what stands there
	Kind   string // duplicate_ref, same_spot, swapped, feet_as_metres ...
	Expect Expect
}

// Expect is the outcome of a planted fault.
type Expect string

// A row is refused and named, or folded into the row it repeats.
const (
	Rejected Expect = "rejected"
	Merged   Expect = "merged"
)

// mess spoils about three trees in a hundred. A spoilt tree has no past, so
// that its refusal does not drag rows of another file along.
type mess struct {
	c      *City
	r      *rand.Rand
	extras int // refs given to rows that are not in the city
}

func (c *City) newMess() *mess { return &mess{c: c, r: draw(c.req.Seed, streamMess, 0)} }

// flaw spoils a row in place and says how; ok is false, and the row as it was,
// when it does not fit the tree.
type flaw func(m *mess, s *Stand) (faults []Fault, ok bool)

// Fields of the trees layer by index, as treeValues.values writes them.
const (
	fieldRef = iota
	fieldSpecies
	fieldState
	fieldOwner
	fieldAddress
	fieldPlanted
	fieldPrecision
	fieldCaliper
	fieldDBH
	fieldHeight
)

// Flaws that fit any living tree, and those that fit few and are tried first.
var (
	flaws = []flaw{
		swapped, inRiver, atZero, metresAsCentimetres, misspelt, noSuchDay, future, negative, unknownState, unknownOwner, noRef,
		noSpecies, twoAtOnce,
	}
	rareFlaws = []flaw{feetAsMetres, millimetresAsCentimetres}
)

// spoil returns the stand, perhaps spoilt, and planted duplicates of it.
func (m *mess) spoil(s Stand) []Stand {
	if !m.c.req.Messy {
		return []Stand{s}
	}
	share := 0.03
	if h, _ := s.Tree.Row.Values[fieldHeight].(geo.Length); h.Feet() >= 61 {
		share = 0.3 // so few are that tall that feet for metres would else hardly occur
	}
	if !chance(m.r, share) {
		if s.Tree.Row.Values[fieldState] == "alive" {
			s.History = append(s.History, m.pastFaults(&s)...)
		}
		return []Stand{s}
	}
	alive := s.Tree.Row.Values[fieldState] == "alive"
	switch u := m.r.Float64(); {
	case u < 0.08:
		return append([]Stand{s}, m.sameRef(s))
	case u < 0.16 && alive:
		return append([]Stand{s}, m.sameSpot(s))
	}
	if alive {
		s.Tree.Faults, s.History = m.flaw(&s), nil
	}
	return []Stand{s}
}

// flaw spoils the row of a living tree and names its faults.
func (m *mess) flaw(s *Stand) []Fault {
	for try := 0; ; try++ {
		f := flaws[m.r.IntN(len(flaws))]
		if try < len(rareFlaws) {
			f = rareFlaws[try]
		}
		if faults, ok := f(m, s); ok {
			for i := range faults {
				faults[i].Ref, _ = s.Tree.Row.Values[fieldRef].(string)
				faults[i].Expect = Rejected
			}
			return faults
		}
	}
}

// sameRef is a second row with the ref of the first, some way off.
func (m *mess) sameRef(s Stand) Stand {
	twin := s
	twin.Tree.Row.Values = append([]any(nil), s.Tree.Row.Values...)
	twin.Tree.Row.Shape = geo.NewPoint(4326, m.c.lonLat(s.at.Add(geo.Point{X: between(m.r, 2, 3), Y: between(m.r, 2, 3)})))
	twin.History = nil
	ref, _ := s.Tree.Row.Values[fieldRef].(string)
	twin.Tree.Faults = []Fault{{Ref: ref, Field: "ref", Value: ref, Kind: "duplicate_ref", Expect: Rejected}}
	return twin
}

// sameSpot is the same tree tagged twice: another ref, a hand's breadth away.
func (m *mess) sameSpot(s Stand) Stand {
	twin := s
	twin.Tree.Row.Values = append([]any(nil), s.Tree.Row.Values...)
	m.extras++
	ref := fmt.Sprintf("PLX-%05d", m.extras)
	twin.Tree.Row.Values[fieldRef] = ref
	twin.Tree.Row.Shape = geo.NewPoint(4326, m.c.lonLat(s.at.Add(geo.Point{X: between(m.r, 0.1, 0.25), Y: between(m.r, -0.2, 0.2)})))
	twin.History = nil
	twin.Tree.Faults = []Fault{{Ref: ref, Field: "position", Value: pointText(twin.Tree.Row.Shape), Kind: "same_spot", Expect: Merged}}
	return twin
}

func pointText(s geo.Shape) string {
	p := s.Points()[0]
	return fmt.Sprintf("%.7f %.7f", p.X, p.Y)
}

// set puts a text into a field and makes the fault that names it.
func set(s *Stand, field int, name, value, kind string) []Fault {
	s.Tree.Row.Values[field] = value
	return []Fault{{Field: name, Value: value, Kind: kind}}
}

func place4326(s *Stand, p geo.Point, kind string) []Fault {
	s.Tree.Row.Shape = geo.NewPoint(4326, p)
	return []Fault{{Field: "position", Value: pointText(s.Tree.Row.Shape), Kind: kind}}
}

func swapped(m *mess, s *Stand) ([]Fault, bool) {
	p := m.c.lonLat(s.at)
	return place4326(s, geo.Point{X: p.Y, Y: p.X}, "swapped"), true
}

func inRiver(m *mess, s *Stand) ([]Fault, bool) {
	r := &m.c.river
	if r.half == 0 {
		return nil, false
	}
	u := r.uv(s.at).X
	v := r.mid(u) + between(m.r, -0.6, 0.6)*r.half
	return place4326(s, m.c.lonLat(r.xy(geo.Point{X: u, Y: v})), "in_river"), true
}

func atZero(_ *mess, s *Stand) ([]Fault, bool) {
	return place4326(s, geo.Point{}, "zero_position"), true
}

// feetAsMetres only spoils trees so tall that their feet exceed any tree's metres.
func feetAsMetres(_ *mess, s *Stand) ([]Fault, bool) {
	h, _ := s.Tree.Row.Values[fieldHeight].(geo.Length)
	if h.Feet() < 61 {
		return nil, false
	}
	return set(s, fieldHeight, "height_mm", fmt.Sprintf("%.0f", h.Feet()), "feet_as_metres"), true
}

// millimetresAsCentimetres is only done where the result exceeds every stem.
func millimetresAsCentimetres(_ *mess, s *Stand) ([]Fault, bool) {
	d, _ := s.Tree.Row.Values[fieldDBH].(geo.Length)
	if d < 405 {
		return nil, false
	}
	return set(s, fieldDBH, "dbh_mm", fmt.Sprint(int(d)), "mm_as_cm"), true
}

// metresAsCentimetres is only done where so thin a stem could not carry the tree.
func metresAsCentimetres(_ *mess, s *Stand) ([]Fault, bool) {
	d, _ := s.Tree.Row.Values[fieldDBH].(geo.Length)
	h, _ := s.Tree.Row.Values[fieldHeight].(geo.Length)
	if d < 100 || h < 6*geo.Metre {
		return nil, false
	}
	return set(s, fieldDBH, "dbh_mm", fmt.Sprintf("%.2f", d.M()), "m_as_cm"), true
}

// misspelt drops a letter in the middle of the name.
func misspelt(m *mess, s *Stand) ([]Fault, bool) {
	name, _ := s.Tree.Row.Values[fieldSpecies].(string)
	if len(name) < 8 {
		return nil, false
	}
	i := 3 + m.r.IntN(len(name)-6)
	if name[i] == ' ' || name[i+1] == ' ' || name[i-1] == ' ' || strings.HasSuffix(name, "spp.") && i > len(name)-6 {
		return nil, false
	}
	return set(s, fieldSpecies, "species", name[:i]+name[i+1:], "misspelt_species"), true
}

func noSuchDay(m *mess, s *Stand) ([]Fault, bool) {
	day := []string{"2023-02-30", "2019-02-29", "2021-04-31", "2017-13-02"}[m.r.IntN(4)]
	return set(s, fieldPlanted, "planted", day, "impossible_date"), true
}

func future(m *mess, s *Stand) ([]Fault, bool) {
	day := fmt.Sprintf("%d-05-01", m.c.req.Today.Year()+65)
	return set(s, fieldPlanted, "planted", day, "future_date"), true
}

func negative(m *mess, s *Stand) ([]Fault, bool) {
	return set(s, fieldDBH, "dbh_mm", fmt.Sprint(-math.Round(between(m.r, 1, 40))), "negative_dbh"), true
}

func unknownState(_ *mess, s *Stand) ([]Fault, bool) {
	return set(s, fieldState, "state", "standing", "unknown_word"), true
}

func unknownOwner(_ *mess, s *Stand) ([]Fault, bool) {
	return set(s, fieldOwner, "owner", "parish", "unknown_word"), true
}

func noRef(_ *mess, s *Stand) ([]Fault, bool) {
	return set(s, fieldRef, "ref", "", "missing_required"), true
}

func noSpecies(_ *mess, s *Stand) ([]Fault, bool) {
	return set(s, fieldSpecies, "species", "", "missing_required"), true
}

func twoAtOnce(m *mess, s *Stand) ([]Fault, bool) {
	a, _ := negative(m, s)
	b, _ := unknownOwner(m, s)
	return append(a, b...), true
}

// dateBefore is a day more than a year before d.
func dateBefore(d scheduler.Date, r *rand.Rand) scheduler.Date { return d.AddDays(-400 - r.IntN(300)) }
