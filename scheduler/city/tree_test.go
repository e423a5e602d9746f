package city

import (
	"crypto/sha256"
	"fmt"
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

// digest is a hash of every row of every layer.
func digest(c *City) string {
	h := sha256.New()
	add := func(e Entry) { fmt.Fprintln(h, e.Row.Line, e.Row.Values, e.Row.Shape.Points(), e.Faults) }
	for _, l := range scheduler.Layers() {
		for e := range c.Rows(l.Name) {
			add(e)
		}
	}
	for s := range c.Trees() {
		add(s.Tree)
		for _, e := range s.History {
			add(e)
		}
	}
	return fmt.Sprintf("%x", h.Sum(nil))
}

func TestSameSeedSameCity(t *testing.T) {
	r := Request{Trees: 3000, Seed: 5, Messy: true}
	first := mustMake(t, r)
	if a, b := digest(first), digest(mustMake(t, r)); a != b {
		t.Error("two cities from one request differ")
	}
	if a, b := digest(first), digest(first); a != b {
		t.Error("a city gives other rows the second time it is asked")
	}
	r.Seed++
	if digest(first) == digest(mustMake(t, r)) {
		t.Error("another seed gives the same city")
	}
}

func TestTreeCountIsExact(t *testing.T) {
	for _, r := range sizes {
		n, refs := 0, map[any]bool{}
		for s := range mustMake(t, r).Trees() {
			n++
			refs[s.Tree.Row.Values[fieldRef]] = true
		}
		if n != r.Trees || len(refs) != n {
			t.Errorf("%+v: %d trees, %d refs", r, n, len(refs))
		}
	}
}

func TestTreesStandWhereTreesCanStand(t *testing.T) {
	for _, r := range sizes {
		c := mustMake(t, r)
		ends := map[cell][]geo.Point{}
		for p := range corners(c.streets) {
			ends[cellOf(p)] = append(ends[cellOf(p)], p)
		}
		lights := map[cell][]geo.Point{}
		for i := range c.streets {
			s := &c.streets[i]
			for _, l := range c.lamps(i) {
				p, dir := along(s.Line, l.at)
				d := s.half() + lampOut
				if !l.onLeft {
					d = -d
				}
				p = p.Add(left(dir).Scale(d))
				lights[cellOf(p)] = append(lights[cellOf(p)], p)
			}
		}
		others := map[cell][]geo.Point{}
		for s := range c.Trees() {
			if d := nearest(s.at, ends); d < 6 {
				t.Errorf("%+v: a tree %.2f m from a junction", r, d)
			}
			if d := nearest(s.at, lights); d < 3 {
				t.Errorf("%+v: a tree %.2f m from a light", r, d)
			}
			if d := nearest(s.at, others); d < 1 {
				t.Errorf("%+v: a tree %.2f m from another", r, d)
			}
			others[cellOf(s.at)] = append(others[cellOf(s.at)], s.at)
			if c.river.wet(s.at) {
				t.Errorf("%+v: a tree in the river", r)
			}
			c.index.near(s.at, 40, func(i int, d float64) bool {
				if d < c.streets[i].half()+0.5 {
					t.Errorf("%+v: a tree in the roadway of %s", r, c.streets[i].Ref)
				}
				return true
			})
		}
	}
}

func nearest(p geo.Point, cells map[cell][]geo.Point) float64 {
	best := 1e9
	at := cellOf(p)
	for dx := int32(-1); dx <= 1; dx++ {
		for dy := int32(-1); dy <= 1; dy++ {
			for _, q := range cells[cell{at.x + dx, at.y + dy}] {
				best = min(best, p.Distance(q))
			}
		}
	}
	return best
}

// Every tree lies in exactly one district and one section; the sections are
// numbered one to eight within each district.
func TestDistrictsCoverTheLand(t *testing.T) {
	for _, r := range sizes {
		c := mustMake(t, r)
		areas := map[string][][]geo.Point{}
		for _, layer := range []string{"districts", "sections"} {
			for e := range c.Rows(layer) {
				areas[layer] = append(areas[layer], e.Row.Shape.Parts()[0][0])
			}
		}
		if n := len(areas["districts"]); n < 6 || n > 12 || len(areas["sections"]) != 8*n {
			t.Errorf("%+v: %d districts, %d sections", r, n, len(areas["sections"]))
		}
		k := 0
		for s := range c.Trees() {
			if k++; k%7 != 0 && k > 50 {
				continue
			}
			for layer, rings := range areas {
				in := 0
				for _, ring := range rings {
					if within(c.lonLat(s.at), ring) {
						in++
					}
				}
				if in != 1 {
					t.Errorf("%+v: tree %v lies in %d %s", r, s.Tree.Row.Values[fieldRef], in, layer)
				}
			}
		}
		for u := c.extent.u0; u < c.extent.u1; u += 97 {
			p := c.lonLat(c.river.xy(geo.Point{X: u, Y: c.river.mid(u)}))
			for layer, rings := range areas {
				for _, ring := range rings {
					if within(p, ring) {
						t.Errorf("%+v: the river lies in the %s", r, layer)
					}
				}
			}
		}
	}
}

// within is the even-odd rule.
func within(p geo.Point, ring []geo.Point) bool {
	in := false
	for i := 1; i < len(ring); i++ {
		a, b := ring[i-1], ring[i]
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+(b.X-a.X)*(p.Y-a.Y)/(b.Y-a.Y) {
			in = !in
		}
	}
	return in
}

func TestHandMadeTree(t *testing.T) {
	for _, seed := range []uint64{1, 2, 3, 9} {
		c := mustMake(t, Request{Trees: 12000, Seed: seed})
		for s := range c.Trees() {
			v := s.Tree.Row.Values
			if v[fieldRef] != HandMade || v[fieldSpecies] != "Malus spp." || v[14] != int64(2) || len(s.History) != 0 || v[fieldPlanted] != "2019-04-12" {
				t.Errorf("seed %d: the first tree is %v", seed, v)
			}
			break
		}
		b := &c.streets[c.special.block]
		if !b.Bus || b.Parking != "none" || b.Name != weir || !strings.HasSuffix(c.Corner(), "Weir Street, near Foundry Avenue") {
			t.Errorf("seed %d: it stands at %q, on %+v", seed, c.Corner(), b.Street)
		}
		if w := c.span(c.special.block); w.class != scheduler.WireNone {
			t.Errorf("seed %d: a line hangs over it", seed)
		}
	}
}

func TestCohorts(t *testing.T) {
	c := mustMake(t, Request{Trees: 12000, Seed: 1})
	young, all, small, under, states := 0, 0, 0, 0, map[any]int{}
	for s := range c.Trees() {
		if s.life.kind == nil {
			continue
		}
		all++
		states[s.Tree.Row.Values[fieldState]]++
		if s.life.planted > lastAutumn(today) || s.life.planted < lastAutumn(today).AddYears(-46) {
			t.Errorf("planted on %s", s.life.planted)
		}
		if s.life.planted.YearsTo(lastAutumn(today)) < 10 {
			young++
		}
	}
	if share := float64(young) / float64(all); share < 0.35 || share > 0.46 {
		t.Errorf("%.0f %% of the trees were planted in the last ten years, want about 40 %%", 100*share)
	}
	for _, s := range []string{"alive", "dead", "stump", "removed", "vacant"} {
		if states[s] == 0 {
			t.Errorf("no tree is %s", s)
		}
	}
	r := draw(1, streamTree, 0)
	for range 2000 {
		under++
		if c.speciesFor(r, 3, true).small {
			small++
		}
	}
	if small*10 < under*6 {
		t.Errorf("%d of %d young trees under wires are small", small, under)
	}
}
