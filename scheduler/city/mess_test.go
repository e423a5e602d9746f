package city

import (
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

func TestMessPlantsEveryKindAndLeavesTheRestAlone(t *testing.T) {
	c := mustMake(t, Request{Trees: 12000, Seed: 1, Messy: true})
	kinds := map[string]int{}
	spoilt, rows := 0, 0
	check := func(name string, e Entry) {
		l, _ := scheduler.LayerNamed(name)
		rule := checkRow(&l, &e)
		if len(e.Faults) == 0 && rule != nil {
			t.Errorf("%s row %d has no planted fault, yet %v", name, e.Row.Line, rule)
		}
		for _, f := range e.Faults {
			kinds[f.Kind]++
			ref, _ := e.Row.Values[0].(string)
			if f.Row != e.Row.Line || f.Layer != name || f.Ref != ref || f.Field == "" || f.Expect == "" {
				t.Errorf("fault %+v of row %v", f, e.Row.Values)
			}
		}
	}
	for _, l := range scheduler.Layers() {
		for e := range c.Rows(l.Name) {
			check(l.Name, e)
		}
	}
	for s := range c.Trees() {
		rows++
		check("trees", s.Tree)
		for _, e := range s.History {
			check("history", e)
		}
		if len(s.Tree.Faults) > 0 {
			spoilt++
			if len(s.History) > 0 {
				t.Errorf("spoilt tree %v has a past", s.Tree.Row.Values[fieldRef])
			}
		}
	}
	if share := float64(spoilt) / float64(rows); share < 0.02 || share > 0.04 {
		t.Errorf("%.1f %% of the trees are spoilt, want about 3 %%", 100*share)
	}
	for _, k := range []string{
		"duplicate_ref", "same_spot", "swapped", "in_river", "zero_position", "feet_as_metres", "mm_as_cm", "m_as_cm",
		"misspelt_species", "impossible_date", "future_date", "negative_dbh", "unknown_word", "missing_required",
		"too_short", "out_of_range", "unknown_depot", "bad_ticket", "unknown_tree", "before_planting",
	} {
		if kinds[k] == 0 {
			t.Errorf("no fault of kind %s: %v", k, kinds)
		}
	}
}

// A messy city differs from the clean one of the same seed only where faults
// are planted.
func TestMessyCityIsTheCleanOneWithFaults(t *testing.T) {
	clean := map[any]geo.Point{}
	for s := range mustMake(t, Request{Trees: 3000, Seed: 2}).Trees() {
		clean[s.Tree.Row.Values[fieldRef]] = s.Tree.Row.Shape.Points()[0]
	}
	n := 0
	for s := range mustMake(t, Request{Trees: 3000, Seed: 2, Messy: true}).Trees() {
		if len(s.Tree.Faults) > 0 {
			continue
		}
		n++
		if p := s.Tree.Row.Shape.Points()[0]; clean[s.Tree.Row.Values[fieldRef]] != p {
			t.Errorf("tree %v stands at %v", s.Tree.Row.Values[fieldRef], p)
		}
	}
	if n < 2800 {
		t.Errorf("%d clean trees", n)
	}
}

func TestGivenStreetsCarryACity(t *testing.T) {
	invented := mustMake(t, Request{Trees: 3000, Seed: 2})
	var given []scheduler.Street
	for i := range invented.streets {
		s := invented.streets[i].Street
		line := make([]geo.Point, len(s.Line))
		for k, p := range s.Line {
			line[k] = p.Add(geo.Point{X: 450000, Y: 4400000})
		}
		s.Line = line
		if i%3 == 0 {
			s.Width, s.SpeedKmh, s.Lanes = geo.None, 0, 0
		}
		given = append(given, s)
	}
	c := mustMake(t, Request{Trees: 2500, Seed: 2, Streets: given, SRID: 32618, Messy: true})
	if c.SRID() != 32618 || len(c.streets) != len(given) {
		t.Errorf("EPSG:%d, %d of %d blocks", c.SRID(), len(c.streets), len(given))
	}
	var rings [][]geo.Point
	for e := range c.Rows("districts") {
		rings = append(rings, e.Row.Shape.Parts()[0][0])
	}
	n := 0
	for s := range c.Trees() {
		in := 0
		for _, ring := range rings {
			if within(c.lonLat(s.at), ring) {
				in++
			}
		}
		if in != 1 {
			t.Errorf("tree %v lies in %d districts", s.Tree.Row.Values[0], in)
		}
		if len(s.Tree.Faults) == 0 {
			n++
		}
	}
	if n < 2300 {
		t.Errorf("%d clean trees", n)
	}
	if got := Window(given, given[0].Line[0], 400); len(got) == 0 || len(got) >= len(given)/2 {
		t.Errorf("a window of 400 m holds %d of %d blocks", len(got), len(given))
	}
}

func TestMakeRefuses(t *testing.T) {
	tiny := []scheduler.Street{{Ref: "a", Class: scheduler.Residential, OneWay: "no", Line: []geo.Point{{X: 1, Y: 1}, {X: 90, Y: 1}}}}
	for name, c := range map[string]struct {
		r    Request
		kind scheduler.Kind
	}{
		"no trees":       {Request{Trees: 0, Today: today}, scheduler.Invalid},
		"no date":        {Request{Trees: 5}, scheduler.Invalid},
		"no zone":        {Request{Trees: 5, Today: today, Streets: tiny, SRID: 4326}, scheduler.Invalid},
		"no room":        {Request{Trees: 5000, Today: today, Streets: tiny, SRID: 32616}, scheduler.Infeasible},
		"nothing usable": {Request{Trees: 5, Today: today, Streets: []scheduler.Street{{Line: []geo.Point{{X: 1}}}}, SRID: 32616}, scheduler.Infeasible},
	} {
		if _, err := Make(c.r); scheduler.KindOf(err) != c.kind {
			t.Errorf("%s: %v, want %s", name, err, c.kind)
		}
	}
}

// Any request that is accepted gives as many trees as it asks for, on a
// network that is one piece.
func FuzzMake(f *testing.F) {
	f.Add(uint64(1), uint16(300), true)
	f.Add(uint64(77), uint16(4000), false)
	f.Fuzz(func(t *testing.T, seed uint64, trees uint16, messy bool) {
		r := Request{Trees: int(trees)%5000 + 1, Seed: seed, Messy: messy, Today: today}
		c := mustMake(t, r)
		n, extra := 0, 0
		for s := range c.Trees() {
			n++
			if len(s.Tree.Faults) > 0 && (s.Tree.Faults[0].Kind == "same_spot" || s.Tree.Faults[0].Kind == "duplicate_ref") {
				extra++
			}
		}
		if n-extra != r.Trees {
			t.Errorf("%+v: %d trees", r, n-extra)
		}
		if got := len(connected(c.streets, false)); got != len(c.streets) {
			t.Errorf("%+v: %d of %d blocks hang together", r, got, len(c.streets))
		}
	})
}
