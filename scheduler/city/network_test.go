package city

import (
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

var today = scheduler.NewDate(2026, 11, 25)

func mustMake(t testing.TB, r Request) *City {
	t.Helper()
	if r.Today.IsZero() {
		r.Today = today
	}
	c, err := Make(r)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// Sizes and seeds that the structural tests run over.
var sizes = []Request{{Trees: 1, Seed: 1}, {Trees: 700, Seed: 2}, {Trees: 12000, Seed: 1}, {Trees: 12000, Seed: 7}, {Trees: 35000, Seed: 3}}

func TestNetworkIsOnePieceForCars(t *testing.T) {
	for _, r := range sizes {
		c := mustMake(t, r)
		there, back := map[geo.Point][]geo.Point{}, map[geo.Point][]geo.Point{}
		for i := range c.streets {
			s := &c.streets[i]
			a, b := s.Line[0], s.Line[len(s.Line)-1]
			if s.OneWay != "backward" {
				there[a], back[b] = append(there[a], b), append(back[b], a)
			}
			if s.OneWay != "forward" {
				there[b], back[a] = append(there[b], a), append(back[a], b)
			}
		}
		start := c.streets[0].Line[0]
		if n, m := reached(start, there), reached(start, back); n != m || n != len(corners(c.streets)) {
			t.Errorf("%+v: %d junctions reached, %d lead back, of %d", r, n, m, len(corners(c.streets)))
		}
	}
}

func reached(from geo.Point, next map[geo.Point][]geo.Point) int {
	seen := map[geo.Point]bool{from: true}
	list := []geo.Point{from}
	for len(list) > 0 {
		p := list[len(list)-1]
		list = list[:len(list)-1]
		for _, q := range next[p] {
			if !seen[q] {
				seen[q] = true
				list = append(list, q)
			}
		}
	}
	return len(seen)
}

func TestBlocksMeetOnlyAtTheirEnds(t *testing.T) {
	for _, r := range sizes {
		c := mustMake(t, r)
		edges := make([]edge, len(c.streets))
		for i := range c.streets {
			edges[i] = edge{pts: c.streets[i].Line, bridge: c.streets[i].Bridge}
		}
		for _, pair := range clashes(edges) {
			t.Errorf("%+v: %s and %s cross without a junction", r, c.streets[pair[0]].Ref, c.streets[pair[1]].Ref)
		}
		ends := corners(c.streets)
		for i := range c.streets {
			line := c.streets[i].Line
			if l := length(line); l < 20 {
				t.Errorf("%+v: block %s is %.1f m long", r, c.streets[i].Ref, l)
			}
			for _, p := range line[1 : len(line)-1] {
				if len(ends[p]) > 0 {
					t.Errorf("%+v: block %s passes through a junction", r, c.streets[i].Ref)
				}
			}
		}
	}
}

func TestOnlyBridgesCrossTheRiver(t *testing.T) {
	for _, r := range sizes {
		c := mustMake(t, r)
		bridges, low, passing := 0, 0, map[string]bool{}
		for i := range c.streets {
			s := &c.streets[i]
			wet := false
			for at := 0.0; at < length(s.Line); at += 4 {
				p, _ := along(s.Line, at)
				wet = wet || c.river.wet(p)
			}
			if wet != s.Bridge {
				t.Errorf("%+v: block %s bridge=%v, over water=%v", r, s.Ref, s.Bridge, wet)
			}
			if s.Bridge {
				bridges++
			}
			if s.MaxHeight.Known() {
				low++
			}
			for k := range c.streets {
				if s.Bridge && !c.streets[k].Bridge {
					line := c.streets[k].Line
					for v := 1; v < len(line); v++ {
						if passesOver(s.Line, line[v-1], line[v]) {
							passing[c.streets[k].Ref] = true
						}
					}
				}
			}
		}
		if bridges < 2 || low == 0 || len(passing) != low {
			t.Errorf("%+v: %d bridges, %d blocks passed over, %d with a height limit", r, bridges, len(passing), low)
		}
	}
}

func TestStreetMixture(t *testing.T) {
	c := mustMake(t, Request{Trees: 12000, Seed: 1})
	if n := len(c.streets); n < 850 || n > 1200 {
		t.Errorf("%d blocks for 12000 trees, want about 1000", n)
	}
	count := map[string]int{}
	names := map[string]int{}
	for i := range c.streets {
		s := &c.streets[i]
		count[string(s.Class)]++
		count["one_way "+s.OneWay]++
		count["parking "+s.Parking]++
		if s.Bus {
			count["bus"]++
		}
		if s.Truck {
			count["truck"]++
		}
		if s.MaxWeightKg > 0 {
			count["weight"]++
		}
		if key, ok := names[s.Name]; ok && s.Name != "" && key != s.key {
			t.Errorf("two streets are called %q", s.Name)
		}
		names[s.Name] = s.key
		if s.Bus && s.Class == scheduler.Residential {
			t.Errorf("a bus on residential block %s", s.Ref)
		}
	}
	dead := 0
	for _, ids := range corners(c.streets) {
		if len(ids) == 1 {
			dead++
		}
	}
	count["dead ends"] = dead
	for _, k := range []string{
		"arterial", "collector", "residential", "alley", "one_way forward", "one_way backward", "parking both", "parking left",
		"parking right", "parking none", "bus", "truck", "weight", "dead ends",
	} {
		if count[k] == 0 {
			t.Errorf("no block with %q: %v", k, count)
		}
	}
}

func TestConnectedDropsWhatCarsCannotLeave(t *testing.T) {
	road := func(ref, way string, pts ...geo.Point) block {
		return block{Street: scheduler.Street{Ref: ref, OneWay: way, Line: pts}}
	}
	a, b, c, d := geo.Point{X: 1}, geo.Point{X: 2}, geo.Point{X: 3}, geo.Point{X: 4}
	far, farther := geo.Point{X: 90}, geo.Point{X: 91}
	net := func() []block {
		return []block{
			road("ab", "forward", a, b), road("bc", "forward", b, c), road("ac", "backward", a, c), // a ring a-b-c-a
			road("cd", "forward", c, d),     // a trap
			road("far", "no", far, farther), // an island
		}
	}
	for _, mend := range []bool{false, true} {
		got := map[string]string{}
		for _, s := range connected(net(), mend) {
			got[s.Ref] = s.OneWay
		}
		want := map[string]string{"ab": "forward", "bc": "forward", "ac": "backward"}
		if mend {
			want["cd"] = "no"
		}
		if len(got) != len(want) {
			t.Errorf("mend %v: kept %v, want %v", mend, got, want)
		}
		for ref, way := range want {
			if got[ref] != way {
				t.Errorf("mend %v: %s is %q, want %q", mend, ref, got[ref], way)
			}
		}
	}
}
