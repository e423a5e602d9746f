package growth

import (
	"encoding/csv"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"limbround/scheduler"
)

func TestCurveFallsBackStepByStep(t *testing.T) {
	m := load(t)
	for _, tt := range []struct {
		region   string
		sp       scheduler.Species
		name     string
		fallback string
	}{
		{"NoEast", scheduler.Species{Scientific: "Platanus × acerifolia"}, "Platanus x acerifolia, NoEast", ""},
		{"LoMidW", scheduler.Species{Scientific: "Malus spp."}, "Malus spp., LoMidW", ""},
		{"PacfNW", scheduler.Species{Scientific: "Carpinus betulus"}, "Carpinus betulus 'Fastigiata', PacfNW", "species: curve of Carpinus betulus 'Fastigiata'"},
		{"LoMidW", scheduler.Species{Scientific: "Pyrus calleryana", Synonyms: []string{"Pyrus calleryana 'Bradford'"}}, "Pyrus calleryana 'Bradford', LoMidW", ""},
		{"SacVal", scheduler.Species{Scientific: "Pyrus calleryana"}, "Pyrus calleryana cvs., SacVal", ""},
		{"LoMidW", scheduler.Species{Scientific: "Quercus palustris", MatureHeight: 27000}, "Quercus rubra, LoMidW", "genus Quercus: curve of Quercus rubra"},
		{"LoMidW", scheduler.Species{Scientific: "Malus sargentii"}, "Malus spp., LoMidW", "genus Malus: curve of Malus spp."},
		{"LoMidW", scheduler.Species{Scientific: "Zelkova serrata", Growth: "moderate", MatureHeight: 18000}, "Morus spp., LoMidW", "moderate growth class, mature height 18.00 m: curve of Morus spp."},
		{"LoMidW", scheduler.Species{Scientific: "Acer palmatum", Growth: "slow", MatureHeight: 9500}, "Cercis canadensis, LoMidW", "slow growth class, mature height 9.50 m: curve of Cercis canadensis"},
		{"NoEast", scheduler.Species{Scientific: "Taxodium distichum", Habit: scheduler.Conifer, Growth: "moderate"}, "Pinus strobus, NoEast", "moderate growth class: curve of Pinus strobus"},
		{"NoEast", scheduler.Species{Scientific: "Sabal palmetto", Habit: scheduler.Palm}, "", "no palm curves in this climate region"},
		{"PacfNW", scheduler.Species{Scientific: "Prunus cerasifera", MatureHeight: 9000}, "Prunus serrulata, PacfNW", "the published row is another species'; genus Prunus: curve of Prunus serrulata"},
		{"nowhere", scheduler.Species{Scientific: "Acer rubrum"}, "", "no curves for this climate region"},
	} {
		c := m.Curve(tt.region, tt.sp)
		if c.Name != tt.name || c.Fallback != tt.fallback {
			t.Errorf("%s in %s: curve %q, fallback %q; want %q, %q", tt.sp.Scientific, tt.region, c.Name, c.Fallback, tt.name, tt.fallback)
		}
	}
}

// Indianapolis borrows the dbh curves of its species from other cities. No two
// species share one equation, but for the misprint that is passed over.
func TestNoTwoSpeciesShareAnEquationOfDBH(t *testing.T) {
	seen := map[[5]float64]*set{}
	var shared []string
	for _, r := range Regions() {
		for _, s := range load(t).regions[r.Code] {
			if s.kind == palm {
				continue
			}
			key := s.printed[0].c
			for i := range key {
				key[i] = math.Round(key[i]*1e5) / 1e5
			}
			if o := seen[key]; o != nil && base(o.name) != base(s.name) {
				shared = append(shared, r.Code+" "+o.name+" and "+s.name)
				if !o.misprinted() && !s.misprinted() {
					t.Errorf("%s %s and %s share an equation of dbh", r.Code, o.name, s.name)
				}
			}
			seen[key] = s
		}
	}
	if len(shared) != 1 {
		t.Errorf("shared: %v, want the one misprint", shared)
	}
}

// A stand-in of the slow class must not outgrow one of the fast class.
func TestGrowthClassesAreInOrder(t *testing.T) {
	m := load(t)
	for _, r := range Regions() {
		var at20 []float64
		for _, class := range []string{"slow", "moderate", "fast"} {
			c := m.Curve(r.Code, scheduler.Species{Scientific: "Ignota ignota", Growth: class})
			if !c.Known() {
				t.Fatalf("%s: no curve for the %s class", r.Code, class)
			}
			at20 = append(at20, c.set.speed())
		}
		if !slices.IsSorted(at20) {
			t.Errorf("%s: growth of the slow, moderate and fast class %v", r.Code, at20)
		}
	}
}

func TestRegionsAreThoseOfTheTable(t *testing.T) {
	m := load(t)
	for code := range m.regions {
		if _, ok := RegionOf(code); !ok {
			t.Errorf("curves of %s, which is no region", code)
		}
	}
	if len(Regions()) != len(m.regions) {
		t.Errorf("%d regions, curves for %d", len(Regions()), len(m.regions))
	}
}

// Every species of the built-in table has a curve in every region but palms,
// and mature heights taken from the publication are the medians they claim to be.
func TestSpeciesTableAgainstCurves(t *testing.T) {
	m := load(t)
	table, err := scheduler.SpeciesTable()
	if err != nil {
		t.Fatal(err)
	}
	source := heightSources(t)
	for _, sp := range table {
		var tops []float64
		for _, r := range Regions() {
			c := m.Curve(r.Code, sp)
			if !c.Known() && sp.Habit != scheduler.Palm {
				t.Errorf("%s has no curve in %s: %s", sp.Code, r.Code, c.Fallback)
			}
			if c.Known() && normal(c.set.name) == normal(sp.Scientific) {
				tops = append(tops, c.set.top())
			}
		}
		if source[sp.Code] != "utd" {
			continue
		}
		slices.Sort(tops)
		if n := len(tops); n == 0 || math.Abs((tops[(n-1)/2]+tops[n/2])/2-sp.MatureHeight.M()) > 0.3 {
			t.Errorf("%s: mature height %s, curves end at %.2f", sp.Code, sp.MatureHeight, tops)
		}
	}
}

func heightSources(t *testing.T) map[string]string {
	t.Helper()
	text, err := os.ReadFile("../species.csv")
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(strings.NewReader(string(text)))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]string{}
	for _, row := range rows[1:] {
		out[row[0]] = row[slices.Index(rows[0], "height_source")]
	}
	return out
}
