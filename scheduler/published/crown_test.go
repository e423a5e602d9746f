package published

import (
	"math"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
	"limbround/scheduler/city"
)

// crownClass counts the trees of a stem class by where their foliage begins.
type crownClass struct {
	trees, walk, lane int // all, at or above 8 ft, at or above 14 ft
}

// crownClasses reads the rows of an invented city as an inventory would give
// them: the foliage of both sides on the average, by the stem in inches. Of 24 in
// and more there is no published class.
func crownClasses(t *testing.T, seed uint64) map[string]crownClass {
	t.Helper()
	c, err := city.Make(city.Request{Trees: 6000, Seed: seed, Today: day(t, "2026-11-25")})
	if err != nil {
		t.Fatal(err)
	}
	at := map[string]int{}
	for _, l := range scheduler.Layers() {
		if l.Name == "trees" {
			for i, f := range l.Fields {
				at[f.Name] = i
			}
		}
	}
	out := map[string]crownClass{}
	for s := range c.Trees() {
		v := s.Tree.Row.Values
		dbh, measured := v[at["dbh_mm"]].(geo.Length)
		road, seen := v[at["base_road_mm"]].(geo.Length)
		walk, too := v[at["base_walk_mm"]].(geo.Length)
		if !measured || !seen || !too {
			continue
		}
		name := ""
		for _, class := range []struct {
			name string
			to   float64
		}{{"18-24 in", 24}, {"12-18 in", 18}, {"6-12 in", 12}, {"3-6 in", 6}, {"0-3 in", 3}} {
			if dbh.Inches() < class.to {
				name = class.name
			}
		}
		n := out[name]
		n.trees++
		if base := (road + walk) / 2; base >= geo.Feet(14) {
			n.walk, n.lane = n.walk+1, n.lane+1
		} else if base >= geo.Feet(8) {
			n.walk++
		}
		out[name] = n
	}
	return out
}

// The invented city's crowns begin where those of real street trees do: the
// shares of trees whose foliage begins at 8 and at 14 ft or above lie between the
// lowest and the highest of the five published regions, or within a twentieth of them.
func TestCityCrownsAreLikeStreetTrees(t *testing.T) {
	type span struct{ low, high float64 }
	shares := map[string]map[string]span{"share_8ft": {}, "share_14ft": {}}
	for _, r := range table(t, "crown_bases", 25) {
		if m := r.number("median_m"); m < r.number("p10_m") || m > r.number("p90_m") || r.number("share_14ft") > r.number("share_8ft") {
			t.Errorf("not a distribution: %v", r.fields)
		}
		for column, classes := range shares {
			s, known := classes[r.text("class")]
			if !known {
				s = span{1, 0}
			}
			classes[r.text("class")] = span{math.Min(s.low, r.number(column)), math.Max(s.high, r.number(column))}
		}
	}
	const within = 0.05
	for seed := uint64(1); seed <= 3; seed++ {
		got := crownClasses(t, seed)
		for class := range shares["share_8ft"] {
			n := got[class]
			if n.trees < 50 {
				t.Fatalf("seed %d: only %d trees of %s", seed, n.trees, class)
			}
			for column, count := range map[string]int{"share_8ft": n.walk, "share_14ft": n.lane} {
				want, share := shares[column][class], float64(count)/float64(n.trees)
				if share < want.low-within || share > want.high+within {
					t.Errorf("seed %d, %s, %s: %.2f of %d trees, published %.2f to %.2f", seed, class, column, share, n.trees, want.low, want.high)
				}
			}
		}
	}
}
