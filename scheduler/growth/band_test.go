package growth

import (
	"math"
	"math/rand/v2"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

// On the day of measuring the band has no width. From then on it is wider than
// after the first year, its upper side does not go back, and it stays within
// the band of a tree of that age known by its age alone.
func TestBandStartsAtTheMeasurementAndWidens(t *testing.T) {
	for region, sets := range load(t).regions {
		for _, s := range sets {
			if s.kind == palm {
				continue
			}
			c := s.curve()
			cm := c.dbhAt(s.minAge + (s.maxAge-s.minAge)/8)
			tree := scheduler.Tree{
				DBH: geo.Centimetres(cm), Height: geo.Metres(c.Height(cm)), Crown: geo.Metres(c.Crown(cm)), MeasuredOn: today,
			}
			p := c.Project(tree, today)
			now := p.Band(today)
			if now.DBHLow != tree.DBH || now.DBHHigh != tree.DBH || now.HeightLow != tree.Height || now.HeightHigh != tree.Height ||
				now.CrownLow != tree.Crown || now.CrownHigh != tree.Crown {
				t.Fatalf("%s %s: %+v on the day of measuring %+v", region, s.name, now, tree)
			}
			before, first := now, geo.Length(0)
			for years := 1; years < 60; years += 2 {
				day := today.AddYears(years)
				b, z := p.Band(day), p.At(day)
				if z.Beyond {
					if b.Known() {
						t.Errorf("%s %s: a band past the published range: %+v", region, s.name, b)
					}
					break
				}
				if b.DBHLow < tree.DBH || b.DBHLow > z.DBH || b.DBHHigh < z.DBH || b.HeightLow > z.Height || b.HeightHigh < z.Height || b.CrownLow > z.Crown || b.CrownHigh < z.Crown {
					t.Fatalf("%s %s, year %d: %+v about %+v", region, s.name, years, b, z)
				}
				if b.DBHHigh < before.DBHHigh*98/100 {
					t.Fatalf("%s %s, year %d: dbh goes back from %+v to %+v", region, s.name, years, before, b)
				}
				if years == 1 {
					first = b.DBHHigh - b.DBHLow
				}
				if w := b.DBHHigh - b.DBHLow; w < first || z.DBH > tree.DBH+10 && w == 0 {
					t.Fatalf("%s %s, year %d: %+v, after the first year dbh had %s of room", region, s.name, years, b, first)
				}
				full := c.Aged(z.Age, day).Band(day)
				if full.DBHHigh-full.DBHLow < b.DBHHigh-b.DBHLow-2 {
					t.Fatalf("%s %s, year %d: measured %+v, by age alone %+v", region, s.name, years, b, full)
				}
				before = b
			}
		}
	}
}

// London plane in Queens at 20 years, by hand: the fit prints Sigma 1.9293 with
// weight 1/age, of 49 trees and 46 degrees of freedom, so that the variance is
// 1.9293*49/46*20 and 1.2816 deviations are 8.22 cm to either side of 25.47 cm.
func TestBandByHand(t *testing.T) {
	c := load(t).Curve("NoEast", scheduler.Species{Scientific: "Platanus x acerifolia"})
	b := c.Aged(20, today).Band(today)
	if near(b.DBHLow, 173, 1) && near(b.DBHHigh, 337, 1) {
		return
	}
	t.Errorf("%+v, want dbh from 17.3 to 33.7 cm", b)
}

func near(got, want, by geo.Length) bool { return got-want <= by && want-got <= by }

// Trees that each keep a rate of growth of their own, drawn so that dbh at one
// age scatters as published, are measured once and left for years. How many are
// inside the band then checks the arithmetic under the band's own assumption.
func TestBandHoldsTreesThatKeepTheirRate(t *testing.T) {
	m := load(t)
	r := rand.New(rand.NewPCG(1, 2))
	in, all := 0, 0
	for _, region := range []string{"NoEast", "SacVal", "InterW", "CenFla", "LoMidW", "Tropic"} {
		for _, s := range m.regions[region] {
			c := s.curve()
			if s.kind == palm || s.maxAge < 45 {
				continue
			}
			share := s.scatter[0].spread(s.dbh.at(25), 25) / s.dbh.at(25)
			for range 200 {
				rate := 1 + share*r.NormFloat64()
				if rate < 0.2 {
					continue
				}
				tree := scheduler.Tree{DBH: geo.Centimetres(rate * c.dbhAt(15)), MeasuredOn: today}
				b := c.Project(tree, today).Band(today.AddYears(10))
				if !b.Known() {
					continue
				}
				all++
				if inside(geo.Centimetres(rate*c.dbhAt(25)), b.DBHLow, b.DBHHigh) {
					in++
				}
			}
		}
	}
	got := float64(in) / float64(all)
	t.Logf("%d of %d trees inside, %.2f", in, all, got)
	if all < 10_000 || got < Coverage-0.05 {
		t.Errorf("%d of %d trees inside", in, all)
	}
}

func TestBandIsWiderWhereAnotherSpeciesStandsIn(t *testing.T) {
	m := load(t)
	own := m.Curve("LoMidW", scheduler.Species{Scientific: "Quercus rubra"})
	other := m.Curve("LoMidW", scheduler.Species{Scientific: "Quercus palustris", MatureHeight: 27000})
	if own.Name != other.Name || other.Fallback == "" {
		t.Fatalf("curves %+v and %+v", own, other)
	}
	a, b := own.Aged(20, today).Band(today), other.Aged(20, today).Band(today)
	if b.DBHHigh <= a.DBHHigh || b.DBHLow >= a.DBHLow || b.HeightHigh <= a.HeightHigh || b.CrownLow >= a.CrownLow {
		t.Errorf("own %+v, standing in %+v", a, b)
	}
}

func TestBandFromHeightAndOfPalms(t *testing.T) {
	m := load(t)
	c := m.Curve("NoEast", scheduler.Species{Scientific: "Quercus palustris"})
	p := c.Project(scheduler.Tree{DBH: geo.None, Height: 9000, MeasuredOn: today}, today)
	b, z := p.Band(today), p.At(today)
	if b.HeightLow != 9000 || b.HeightHigh != 9000 || b.DBHLow >= z.DBH-10 || b.DBHHigh <= z.DBH+10 {
		t.Errorf("a height alone: %+v about %+v: want the height as measured and a dbh with room", b, z)
	}
	palm := m.Curve("CenFla", scheduler.Species{Scientific: "Sabal palmetto", Habit: scheduler.Palm}).Aged(12, today)
	if b := palm.Band(today); !b.Known() || b.HeightLow >= palm.At(today).Height || b.DBHHigh != geo.None {
		t.Errorf("a palm with published scatter: %+v", b)
	}
	bare := m.Curve("Tropic", scheduler.Species{Scientific: "Cocos nucifera", Habit: scheduler.Palm}).Aged(12, today)
	if b := bare.Band(today); b.Known() {
		t.Errorf("a palm without: %+v", b)
	}
	if b := (Curve{}).Aged(3, today).Band(today); b.Known() {
		t.Errorf("no curve: %+v", b)
	}
}

func TestBandDoesNotAllocate(t *testing.T) {
	c := load(t).Curve("NoEast", scheduler.Species{Scientific: "Platanus x acerifolia"})
	p := c.Project(scheduler.Tree{DBH: 152, Height: 7000, MeasuredOn: today}, today)
	var sink geo.Length
	if n := testing.AllocsPerRun(100, func() { sink += p.Band(today.AddDays(400)).DBHHigh }); n != 0 {
		t.Errorf("%g allocations, want none", n)
	}
}

func TestScatterTableNamesTheLine(t *testing.T) {
	sets, err := parseTable([]byte("region,scientific,code,kind,age_min,age_max,dbh,height,crown,crown_height\n" + goodLine))
	if err != nil {
		t.Fatal(err)
	}
	for text, want := range map[string]string{
		"LoMidW,Acer rubrum,1 1 9 7,1 1 9 7,1 1 9 7\n":    "",
		"LoMidW,Acer nigrum,1 1 9 7,1 1 9 7,1 1 9 7\n":    `scatter table: line 2: scientific "Acer nigrum": has no curve in LoMidW`,
		"LoMidW,Acer rubrum,1 1 9 9,1 1 9 7,1 1 9 7\n":    `scatter table: line 2: dbh "1 1 9 9": want a mean square, a power of 0, 0.5, 1 or 2, and fewer degrees of freedom than trees`,
		"LoMidW,Acer rubrum,1 1 9 7,1 3 9 7,1 1 9 7\n":    `scatter table: line 2: height "1 3 9 7": want a mean square, a power of 0, 0.5, 1 or 2, and fewer degrees of freedom than trees`,
		"LoMidW,Acer rubrum,1 1 9 7,1 1 9 7,1 1 nine 7\n": `scatter table: line 2: crown "1 1 nine 7": "nine": want a number`,
		"": `scatter table: scientific "LoMidW Acer rubrum": has a curve and no scatter`,
	} {
		for _, s := range sets {
			s.scatter = [3]scatter{}
		}
		got := ""
		if err := scatterOf([]byte("region,scientific,dbh,height,crown\n"+text), sets); err != nil {
			got = err.Error()
		}
		if got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
	if v := (&scatter{variance: 4, power: 0.5}).deviation(16); math.Abs(v-4) > 1e-12 {
		t.Errorf("deviation %g, want 4", v)
	}
}

func BenchmarkBand(b *testing.B) {
	c := load(b).Curve("NoEast", scheduler.Species{Scientific: "Platanus x acerifolia"})
	p := c.Project(scheduler.Tree{DBH: 152, Height: 7000, MeasuredOn: today}, today)
	day := today.AddDays(2000)
	b.ReportAllocs()
	for b.Loop() {
		p.Band(day)
	}
}
