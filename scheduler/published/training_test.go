package published

import (
	"math"
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
	"limbround/scheduler/due"
)

// The published plan: visits at planting and after 2 and 4 years, with its own
// share of live foliage each; training for 25 years. A policy that names EP276
// carries these shares, and the rules give them to the visits in their order.
func TestTrainingSchedule(t *testing.T) {
	rows := table(t, "training_schedule", 4)
	end := rows[3].whole("years_after_planting")
	plans := 0
	for _, name := range scheduler.Presets() {
		tr := preset(t, name).Training
		if strings.Contains(tr.Source, "EP276") && tr.EndYears != end {
			t.Errorf("%s: training for %d years, want %d", name, tr.EndYears, end)
		}
		if !strings.Contains(tr.DoseSource, "EP276") {
			continue
		}
		plans++
		for i, r := range rows[:3] {
			if i >= len(tr.DoseByVisit) || tr.DoseByVisit[i] != r.whole("max_foliage_pct") {
				t.Errorf("%s: doses %v, published %s at visit %d", name, tr.DoseByVisit, r.text("max_foliage_pct"), i+1)
			}
		}
	}
	if plans < 4 {
		t.Errorf("only %d starting policies follow the plan", plans)
	}
	e := engine(t, "central-florida", nil)
	site := lawn()
	for i, c := range []struct{ planted, trained string }{ // the visits fall due two growing seasons after the last
		{"2026-02-10", ""}, {"2026-02-10", "2026-02-10"}, {"2024-02-10", "2026-02-10"}, {"2022-02-10", "2026-02-10"},
	} {
		v := visit(e.Visits(young(t, "QUVI", c.planted, c.trained), site, day(t, "2026-03-01")), scheduler.Training)
		want := 25 // later visits: a quarter
		if i < 3 {
			want = rows[i].whole("max_foliage_pct")
		}
		if v == nil || v.Dose != want {
			t.Errorf("planted %s, last trained %q: visit %+v, want %d %%", c.planted, c.trained, v, want)
		}
	}
}

// Our intervals stand within the published ones that they name.
func TestIntervals(t *testing.T) {
	f := figures(t, "training_figures", 25)
	cycle, under6 := f["cycle of young trees"], f["cycle of trees under 6 in"].whole("low")
	three := 0
	for _, name := range scheduler.Presets() {
		p := preset(t, name)
		for _, s := range p.Training.Stages {
			if s.Stage == scheduler.StageEstablishing {
				continue
			}
			if s.Seasons < cycle.whole("low") || s.Seasons > cycle.whole("high") {
				t.Errorf("%s: %s every %d seasons, published %s to %s years", name, s.Stage, s.Seasons, cycle.text("low"), cycle.text("high"))
			}
			if s.Seasons == under6 {
				three++
			}
		}
		for _, c := range p.Rotation.Classes {
			want := f["cycle of trees of 15 to 60 cm"]
			if c.UpTo > 0 && c.UpTo <= geo.Centimetres(15) {
				want = f["cycle of small trees"]
			}
			if strings.Contains(c.Source, "McPherson 2007") && c.Years != want.whole("low") {
				t.Errorf("%s: rotation of trees up to %s every %d years, published %s", name, c.UpTo, c.Years, want.text("low"))
			}
			if eugene := f["cycle of street trees"]; c.Years < eugene.whole("low") || c.Years > eugene.whole("high")+1 {
				t.Errorf("%s: rotation every %d years, far from the %s to %s of another city", name, c.Years, eugene.text("low"), eugene.text("high"))
			}
		}
	}
	if three == 0 {
		t.Error("no stage has the three-year cycle of trees under 6 in")
	}
}

// A tree that is trained whenever a visit falls due has the two or three visits
// when young that are published, within the nine years in which a city's
// young-tree crew comes, and its last one before the 25 years are over.
func TestVisitsWhenYoung(t *testing.T) {
	f := figures(t, "training_figures", 25)
	least, years := f["visits when young, at least"].whole("low"), f["young-tree crews take trees planted within"].whole("low")
	for _, name := range scheduler.Presets() {
		e := engine(t, name, nil)
		planted := day(t, "2026-03-20")
		tree := young(t, "ACRU", planted.String(), "")
		tree.Stage = scheduler.StageEstablishing
		visits := 0
		for on := planted.AddDays(30); on < planted.AddYears(years); {
			v := visit(e.Visits(tree, lawn(), on), scheduler.Training)
			if v == nil {
				t.Fatalf("%s: no training visit on %s", name, on)
			}
			on = max(on.AddDays(1), v.Window.Due)
			if on < planted.AddYears(years) {
				visits++
			}
			tree.LastTraining, tree.LastVisit, tree.Stage = on, on, scheduler.StageLeader
		}
		if visits < least || visits > 5 {
			t.Errorf("%s: %d visits in %d years, published at least %d", name, visits, years, least)
		}
	}
}

// Limits that a policy takes from a publication are the published ones.
func TestTrainingLimits(t *testing.T) {
	f, cuts := figures(t, "training_figures", 25), figures(t, "cuts", 14)
	for _, name := range scheduler.Presets() {
		tr := preset(t, name).Training
		if strings.Contains(tr.CrownSource, "EP276") && float64(tr.LiveCrownMin) != f["live crown ratio above"].number("low") {
			t.Errorf("%s: live crown %d %%", name, tr.LiveCrownMin)
		}
		if strings.Contains(tr.CutSource, "613") && tr.SmallCut > cuts["cuts at most"].length("high") {
			t.Errorf("%s: small cut %s", name, tr.SmallCut)
		}
		if tr.SmallCut > cuts["cuts freely below"].length("low") || tr.SmallCut > cuts["remove before about"].length("low") {
			t.Errorf("%s: small cut %s is above what may be cut freely", name, tr.SmallCut)
		}
		if strings.Contains(tr.CutSource, "EP276") && tr.SmallRatio != f["branch no larger than this share of the trunk"].number("low") {
			t.Errorf("%s: ratio %g", name, tr.SmallRatio)
		}
		for _, limit := range []string{"live foliage at most", "more is improper pruning", "live wood of a growing tree", "foliage in a growing season at most"} {
			if float64(tr.FlatDose) > cuts[limit].number("high") {
				t.Errorf("%s: a flat dose of %d %%: %s %s", name, tr.FlatDose, limit, cuts[limit].text("high"))
			}
		}
		spacing := false
		for _, s := range tr.Stages {
			spacing = spacing || strings.Contains(strings.Join(s.Objectives, " "), "3 %")
		}
		if !spacing {
			t.Errorf("%s: no objective spaces permanent branches by 3 %% of the mature height", name)
		}
	}
	// Of the two live crown ratios the one that was read is used; the other, from
	// memory, asks for more.
	if f["live crown ratio at least"].number("low") <= f["live crown ratio above"].number("low") {
		t.Error("two thirds is more than 60 %")
	}
}

// A tree at three quarters of its mature height loses 5 to 10 %, a smaller one
// up to 25.
func TestMatureDose(t *testing.T) {
	cuts := figures(t, "cuts", 14)
	e := engine(t, "lower-midwest", nil)
	tree := young(t, "ACRU", "1990-03-01", "2020-01-14")
	tree.Stage, tree.LastRotation = scheduler.StageRotation, day(t, "2020-01-14")
	tree.MeasuredOn, tree.DBH = day(t, "2020-01-14"), geo.Centimetres(40)
	share := cuts["mature from this share of the mature size"].number("low") / 100
	for _, c := range []struct {
		of     float64
		figure string
	}{{share + 0.05, "live wood of a mature tree"}, {share - 0.2, "live wood of a growing tree"}} {
		tree.Height = geo.Metres(22 * c.of) // of a red maple's 22 m
		v := visit(e.Visits(tree, lawn(), day(t, "2026-11-25")), scheduler.RotationPrune)
		if v == nil || float64(v.Dose) < cuts[c.figure].number("low") || float64(v.Dose) > cuts[c.figure].number("high") {
			t.Errorf("%.0f %% of the mature height: %+v, published %v", 100*c.of, v, cuts[c.figure].fields)
		}
	}
}

// asked is the answer about a branch of a tree of the species, in January.
func asked(t testing.TB, species string, v scheduler.Vigour, branch, stem geo.Length) due.Advice {
	t.Helper()
	tree := young(t, species, "2012-03-20", "2024-01-15")
	tree.Vigour, tree.DBH, tree.MeasuredOn = v, geo.Centimetres(35), day(t, "2026-08-01")
	a, err := engine(t, "central-florida", nil).Advise(tree, lawn(), due.Branch{Role: due.CompetingLeader, On: day(t, "2027-01-15"), Diameter: branch, Stem: stem})
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// The advice names the seasons in which a wound closes: from the published width
// of the vigour's own class to that of the next lower one, and for wider wounds in
// a straight line, which is not published.
func TestWoundClosure(t *testing.T) {
	cuts := figures(t, "cuts", 14)
	one := func(growth string) float64 { return cuts["closes in one season, "+growth+" growth"].number("low") }
	for _, c := range []struct {
		vigour   scheduler.Vigour
		own      string
		less     string
		twoInch  int
		lessInch int
	}{
		{scheduler.VigourGood, "substantial", "moderate", 3, 4},
		{scheduler.VigourFair, "moderate", "modest", 4, 6},
		{scheduler.VigourPoor, "modest", "", 6, 0},
	} {
		if got := asked(t, "QUPA", c.vigour, geo.Inches(2), 150).CloseNow; got != (due.Seasons{From: c.twoInch, To: c.lessInch}) {
			t.Errorf("a cut of 2 in, vigour %s: %+v, want %d to %d", c.vigour, got, c.twoInch, c.lessInch)
		}
		width := geo.Inches(one(c.own))
		if at, above := asked(t, "QUPA", c.vigour, width, 150).CloseNow, asked(t, "QUPA", c.vigour, width+1, 150).CloseNow; at.From != 1 || above.From != 2 {
			t.Errorf("%s closes in one season of %s growth: %+v, a millimetre more %+v", width, c.own, at, above)
		}
		if c.less == "" {
			continue
		}
		width = geo.Inches(one(c.less))
		if at, above := asked(t, "QUPA", c.vigour, width, 150).CloseNow, asked(t, "QUPA", c.vigour, width+1, 150).CloseNow; at.To != 1 || above.To != 2 {
			t.Errorf("%s closes in one season of %s growth: %+v, a millimetre more %+v", width, c.less, at, above)
		}
	}
}

// The rows of the cut table are the published ones: up to 5 cm a cut is free, up
// to 10 it wants a stated reason, and above the crew asks. A stem is cut back to a
// side branch of at least a third of it.
func TestCutRows(t *testing.T) {
	cuts := figures(t, "cuts", 14)
	free, reason := cuts["cuts freely below"].length("low"), cuts["only with good reason above"].length("low")
	for _, c := range []struct {
		branch geo.Length
		row    string
	}{
		{free, ": remove"}, {free + 1, "only with a stated reason"}, {reason, "only with a stated reason"}, {reason + 1, "the supervisor decides"},
	} {
		if got := asked(t, "QUPA", scheduler.VigourGood, c.branch, 4*c.branch).Row; !strings.HasSuffix(got, c.row) {
			t.Errorf("a cut of %s: row %q, want %q", c.branch, got, c.row)
		}
	}
	rules := map[string]scheduler.PracticeRules{"a policy that says nothing": {}}
	for _, name := range scheduler.Presets() {
		rules[name] = preset(t, name).Practice
	}
	for name, r := range rules {
		if rows := r.WithDefaults().CutRows; len(rows) != 3 || rows[1] != free || rows[2] != reason {
			t.Errorf("%s: rows %v, published %s and %s", name, rows, free, reason)
		}
	}
	third := cuts["lateral at least this share of the cut stem"].number("low")
	a := asked(t, "QUPA", scheduler.VigourGood, 60, 100)
	at := 60 * math.Sqrt(float64(a.ReducePart)/100) // the stem where that part of the foliage lies beyond, by the areas of the sections
	if a.ReducePart == 0 || float64(a.ReduceTo) < third*at || float64(a.ReduceTo) > third*at+1 {
		t.Errorf("%s: to a side branch of %s where the stem is %.0f mm, published %g", a.Advice, a.ReduceTo, at, third)
	}
}

// A live oak's branch goes in one step up to its published ratio, a red maple's up
// to the smaller of its own and the policy's; no other species has a ratio.
func TestOwnRatios(t *testing.T) {
	f := figures(t, "training_figures", 25)
	own := map[string]float64{}
	for code, name := range map[string]string{"QUVI": "live oak", "ACRU": "red maple"} {
		own[code] = f["ratio above which removal discolours the trunk, "+name].number("low")
	}
	species, err := scheduler.SpeciesTable()
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range species {
		if s.SmallRatio != own[s.Code] {
			t.Errorf("%s: ratio %g, published %g", s.Code, s.SmallRatio, own[s.Code])
		}
	}
	policy := preset(t, "central-florida").Training.SmallRatio
	for code, ratio := range map[string]float64{"QUVI": own["QUVI"], "ACRU": policy, "QUPA": policy} {
		stem := geo.Length(100)
		last := geo.Length(math.Round(ratio * 100))
		if at, above := asked(t, code, scheduler.VigourGood, last, stem), asked(t, code, scheduler.VigourGood, last+1, stem); strings.Contains(at.Row, "ratio above") || !strings.Contains(above.Row, "ratio above") {
			t.Errorf("%s: %q at %s of 100 mm, %q above", code, at.Row, last, above.Row)
		}
	}
	if own["QUVI"] >= policy || own["ACRU"] <= policy {
		t.Errorf("the policy's %g does not lie between the two measured", policy)
	}
}
