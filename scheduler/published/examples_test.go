package published

import (
	"math"
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
	"limbround/scheduler/growth"
)

// curve is a species' published curve in a climate region.
func curve(t testing.TB, region, scientific string) growth.Curve {
	t.Helper()
	c := anyCurve(t, region, scientific)
	if !c.Known() || c.Fallback != "" {
		t.Fatalf("no curve of its own for %s in %s: %s", scientific, region, c.Fallback)
	}
	return c
}

// anyCurve is the curve that the program uses for it.
func anyCurve(t testing.TB, region, scientific string) growth.Curve {
	t.Helper()
	m, err := growth.Load()
	if err != nil {
		t.Fatal(err)
	}
	return m.Curve(region, scheduler.Species{Scientific: scientific})
}

func about(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !near(got, want, within) {
		t.Errorf("%s: %.4f, want %g", what, got, want)
	}
}

// Worked examples of the publications, one by one, as the program uses them. The
// printed equations themselves are held in package growth.
func TestWorkedExamples(t *testing.T) {
	utd := "McPherson, van Doorn & Peper 2016, Urban Tree Database, RDS-2016-0005: "
	for _, c := range []struct {
		name, source string
		check        func(*testing.T)
	}{
		{"01 every published range", utd + "1,829 values", everyRange},
		{"02 dbh of a red maple in Florida", utd + "ages 2 and 65", func(t *testing.T) {
			c := curve(t, "CenFla", "Acer rubrum")
			for age, cm := range map[float64]float64{2: 2.34, 65: 96.61} {
				got, _ := c.DBH(age)
				about(t, "dbh", got, cm, 0.0101)
				about(t, "quadratic", -3.6811+3.0548*age-0.02326*age*age, cm, 0.0101)
			}
		}},
		{"03 dbh of a live oak", utd + "age 3", func(t *testing.T) {
			got, _ := curve(t, "CenFla", "Quercus virginiana").DBH(3)
			about(t, "dbh", got, 2.10, 0.0101)
		}},
		{"04 crown of a live oak", utd + "dbh 194.32 cm; the correction stands inside the logarithm", func(t *testing.T) {
			about(t, "crown", curve(t, "CenFla", "Quercus virginiana").Crown(194.32), 32.27, 0.0101)
			outside := math.Exp(-1.33981+2.89148*math.Log(math.Log(195.32))) * math.Exp(0.02035/2)
			if near(outside, 32.27, 0.1) {
				t.Errorf("the correction outside gives %.2f, which must not pass", outside)
			}
		}},
		{"05 London plane in Queens", utd + "crown at 61.76 cm, height at 2.4 cm", func(t *testing.T) {
			c := curve(t, "NoEast", "Platanus x acerifolia")
			about(t, "crown", c.Crown(61.76), 14.63, 0.0101)
			about(t, "height", c.Height(2.4), 4.01, 0.0101)
			about(t, "crown height", c.Height(61.76)-c.CrownBase(61.76), 12.88, 0.0101)
		}},
		{"06 honeylocust held at its range", utd + "ages 1 to 21", func(t *testing.T) {
			for _, age := range []float64{21, 30, 60} {
				got, beyond := curve(t, "MidWst", "Gleditsia triacanthos").DBH(age)
				about(t, "dbh", got, 53.79, 0.0101)
				if beyond != (age > 21) {
					t.Errorf("age %g: beyond %v", age, beyond)
				}
			}
		}},
		{"07 crown height of an American elm", "a public write-up of " + utd + "dbh 88 cm", func(t *testing.T) {
			c := curve(t, "NMtnPr", "Ulmus americana")
			about(t, "cubic", 0.44998+0.55096*88-0.00666*88*88+0.00003*88*88*88, 17.8, 0.05)
			// The program takes the digits that the print lost back from the published end of
			// the range; the difference stays within half a unit of the cubic's fifth decimal.
			about(t, "crown height, restored", c.Height(88)-c.CrownBase(88), 17.8, 5.5e-6*88*88*88)
		}},
		{"08 intersection sight", "Highway Engineering Handbook, Table 2.3A", func(t *testing.T) {
			about(t, "30 mph, left", geo.IntersectionSight(30, geo.LeftTurnGap).Feet(), 335, 0.01)
			about(t, "30 mph, right", geo.IntersectionSight(30, geo.CrossGap).Feet(), 290, 0.01)
			about(t, "45 mph, right", geo.IntersectionSight(45, geo.CrossGap).Feet(), 430, 0.01) // from 429.98
		}},
		{"09 stopping sight", "TxDOT Roadway Design Manual 4.11.1", func(t *testing.T) {
			about(t, "20 mph", geo.StoppingSight(20).Feet(), 115, 0.01)
			about(t, "35 mph", geo.StoppingSight(35).Feet(), 250, 0.01)
		}},
		{"10 tapers", "California MUTCD 2012, Table 6H-4(CA)", func(t *testing.T) {
			for mph, want := range map[int][3]int{25: {125, 63, 42}, 35: {245, 123, 82}, 45: {540, 270, 180}} {
				z := zone(t, mph)
				if got := [3]int{feet(z.Merging), feet(z.Shifting), feet(z.Shoulder)}; got != want {
					t.Errorf("%d mph: %v, want %v", mph, got, want)
				}
			}
		}},
		{"11 ice on a line", "Nodak Electric Cooperative, Ice on Power Lines; ice of 57.25 lb a cubic foot", func(t *testing.T) {
			for _, r := range table(t, "ice_loads", 3) {
				thick := r.number("ice_in") / 12
				about(t, "pounds", 57.25*math.Pi*thick*(1.0/12+thick)*300, r.number("lb"), 1)
			}
		}},
		{"12 formative cost", "Ryder & Moore 2013, abstract and summary", formativeCost},
		{"13 crew plan", "City of Eugene OR", func(t *testing.T) {
			e := figures(t, "economics", 28)
			v := func(name string) float64 { return e[name].number("value") }
			years := v("street trees") / (v("employees") * v("trees an employee prunes in a year"))
			about(t, "years", years, 20.4, 0.05)
			about(t, "years, about", math.Floor(years), v("years to prune them all"), 0)
			about(t, "trees for each", math.Round(v("street trees")/v("employees")), v("trees for each employee"), 0)
			about(t, "trees by each", v("trees a crew of five prunes in a year")/5, v("trees an employee prunes in a year"), 0)
		}},
		{"14 minutes and brush from 4 to 16 in", "Churack, Miller, Ottman & Koval 1994", func(t *testing.T) {
			e := figures(t, "economics", 28)
			about(t, "pruning", 12*e["pruning"].number("value"), 72, 0)
			about(t, "stacking", 12*e["stacking brush"].number("value"), 18, 0)
			about(t, "brush, lb", 12*e["pruning"].number("value")*e["brush"].number("value"), 216, 0)
			p := preset(t, "lower-midwest")
			ours := mean(t, &p, scheduler.RotationPrune, 16*2.54) - mean(t, &p, scheduler.RotationPrune, 4*2.54)
			about(t, "ours, person-minutes", ours*pruners, 72+18, 2) // 1 min a cm and not 0.984
		}},
		{"15 tree value", "McPherson 2007, Benefit-Based Tree Valuation, Table 2", func(t *testing.T) {
			for _, r := range table(t, "tree_value", 3) {
				got := math.Round(r.number("basic") * 0.90 * 0.667 * r.number("condition"))
				about(t, "value in USD, printed with rounded factors", got, r.number("value"), 1)
			}
		}},
		{"16 distance to a line", "29 CFR 1910.333 (from memory) and 1910.269(x); started tens of kilovolts", func(t *testing.T) {
			about(t, "39.8 kV", approach(39.8), 10, 1e-9)
			about(t, "79.7 kV", approach(79.7), 11, millimetre)
			about(t, "79.7 kV pro rata", 10+(79.7-50)/10*4/12, 10+11.9/12, 0.01)
		}},
		{"17 risk", "tree risk assessment, matrices 1 and 2", func(t *testing.T) {
			first, second := likelihood(t), rating(t)
			for _, c := range [][5]string{
				{"probable", "high", "severe", "likely", "high"},
				{"imminent", "high", "severe", "very likely", "extreme"},
				{"possible", "medium", "severe", "unlikely", "low"},
			} {
				l := first[[2]string{c[0], c[1]}]
				if r := second[[2]string{l, c[2]}]; l != c[3] || r != c[4] {
					t.Errorf("%v: %s, %s", c[:3], l, r)
				}
				if ours, err := scheduler.Risk(c[0], c[1], c[2], 3); err != nil || ours.Likelihood != c[3] || ours.Rating != c[4] {
					t.Errorf("%v: the program says %s, %s, %v", c[:3], ours.Likelihood, ours.Rating, err)
				}
			}
		}},
		{"18 spacing", "young-tree pruning text of the professional society, reproduced", func(t *testing.T) {
			f := figures(t, "training_figures", 25)
			spacing := f["vertical spacing of permanent branches"].number("low") / 100
			about(t, "50 ft, in", spacing*50*12, 18, 1e-9)
			about(t, "large trees", spacing*50*12, f["spacing on large trees at least"].number("low"), 1e-9)
		}},
		{"19 sloped heights", "Harker Heights TX 96.71; Waverley NSW", func(t *testing.T) {
			for _, r := range heights(t) {
				if !toCentre(r) {
					continue
				}
				curb, road := r.length("at_curb"), r.length("over_road")
				site := lawn()
				site.StreetClass, site.ToCurb, site.ToLane, site.HalfRoad = scheduler.Residential, 1000, 1000, 6000
				midway := (curb + road) / 2
				if want := map[string]geo.Length{"Harker Heights TX": geo.Feet(10), "Waverley NSW": geo.Metres(4)}[r.text("place")]; midway != want {
					t.Errorf("%s: midway %s, want %s", r.text("place"), midway, want)
				}
				hold(t, r.text("place"), midway, strictly(1600, curb, road, true), site, 1000+3000, scheduler.RoadClearance)
			}
		}},
		{"20 an oak on the first of July", "Wisconsin DNR, Michigan DNR, Texas A&M Forest Service, Univ. of Minnesota Extension, Minnesota DNR, Iowa DNR", oakInJuly},
		{"21 thirty per cent at two years", "IFAS EP276; Univ. of Minnesota Extension", func(t *testing.T) {
			tree := young(t, "QUVI", "2026-02-10", "2026-02-10")
			for name, want := range map[string]int{"by visit": 40, "flat": 25} {
				e := engine(t, "central-florida", func(p *scheduler.Policy) {
					if name == "flat" {
						p.Training.DoseByVisit, p.Training.FlatDose = nil, 25
					}
				})
				v := visit(e.Visits(tree, lawn(), day(t, "2026-03-01")), scheduler.Training)
				if v == nil || v.Dose != want || (v.Dose >= 30) != (name == "by visit") {
					t.Errorf("%s: %+v, want at most %d %%", name, v, want)
				}
			}
		}},
		{"22 trees in an hour", "Journal of the Korean Institute of Landscape Architecture 50(4), Table 5", func(t *testing.T) {
			hour := 60 / (6.3 + 12.2 + 1.8)
			about(t, "an hour", hour, 2.96, 0.005)
			about(t, "a day", 8*hour, 23.65, 0.01)
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			c.check(t)
			if t.Failed() {
				t.Logf("source: %s", c.source)
			}
		})
	}
}

// everyRange asks the program's curves for all published ends of ranges but
// those of crown height, which no curve gives alone. One set may be passed over:
// in print the dbh of cherry plum in Longview is another species'.
func everyRange(t *testing.T) {
	parts := map[string]int{}
	for _, r := range file(t, "../../testdata/growth/published_ranges.csv", 1829) {
		parts[r.text("predicts")]++
		if r.text("predicts") == "crown_height" {
			continue
		}
		c := anyCurve(t, r.text("region"), r.text("scientific"))
		if c.Fallback != "" {
			if r.text("region") != "PacfNW" || r.text("scientific") != "Prunus cerasifera" {
				t.Errorf("%s in %s has no curve of its own: %s", r.text("scientific"), r.text("region"), c.Fallback)
			}
			continue
		}
		x, got := r.number("x"), 0.0
		switch r.text("predicts") {
		case "dbh":
			got, _ = c.DBH(x)
		case "height":
			got = c.Height(x)
		case "crown":
			got = c.Crown(x)
		}
		about(t, strings.Join([]string{r.text("region"), r.text("scientific"), r.text("predicts")}, " "), got, r.number("published"), 0.0101)
	}
	if len(parts) != 4 {
		t.Errorf("parts %v", parts)
	}
}

func formativeCost(t *testing.T) {
	e := figures(t, "economics", 28)
	trees, cost, sound, plain := 0.0, 0.0, 0.0, 0.0
	for _, r := range table(t, "formative", 5) {
		trees += r.number("trees")
		cost += r.number("trees") * r.number("aud")
		sound += r.number("trees") * r.number("no_defect_pct") / 100
		plain += r.number("no_defect_pct") / 5
	}
	about(t, "trees", trees, 348, 0)
	about(t, "mean cost", cost/trees, 2.786, 0.0005)
	about(t, "mean cost, published", math.Round(100*cost/trees)/100, e["mean formative cost"].number("value"), 1e-9)
	about(t, "twenty years later", e["pruning after twenty years"].number("value")/e["mean formative cost"].number("value"), 16.0, 0.05)
	// The summary's share of trees with a defect lies between the table's plain mean and its mean by trees.
	about(t, "trees with a defect, by trees", 100*(1-sound/trees), 80.2, 0.05)
	about(t, "trees with a defect, plain", 100-plain, 77.0, 0.05)
	if p := e["trees with a defect"].number("value"); p <= 100-plain || p >= 100*(1-sound/trees) {
		t.Errorf("%g %% of the trees with a defect", p)
	}
}

func oakInJuly(t *testing.T) {
	closed := map[string]bool{}
	for _, r := range table(t, "seasons", 15) {
		if r.text("group") != "oak" {
			continue
		}
		rules := scheduler.SeasonRules{Special: []scheduler.Season{seasonOf(t, r)}}
		closed[r.text("authority")] = rules.ClosedOn("oak", []scheduler.WorkKind{scheduler.Training}, day(t, "2027-07-01"))
		if r.text("authority") == "Iowa DNR" {
			for on, want := range map[string]bool{"2026-10-14": true, "2026-10-16": false, "2026-12-31": false, "2027-01-01": false, "2027-02-28": false, "2027-03-02": true} {
				if rules.ClosedOn("oak", []scheduler.WorkKind{scheduler.Training}, day(t, on)) != want {
					t.Errorf("Iowa on %s: want closed %v", on, want)
				}
			}
		}
	}
	for authority, want := range map[string]bool{
		"Wisconsin DNR": true, "Michigan DNR": true, "Texas A&M Forest Service": false, "Univ. of Minnesota Extension": false,
		"Minnesota DNR": true, "Iowa DNR": true, "Michigan State University": false,
	} {
		if got, known := closed[authority]; !known || got != want {
			t.Errorf("%s: closed %v, want %v", authority, got, want)
		}
	}
}
