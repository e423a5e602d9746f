package due

import (
	"strings"
	"testing"

	"limbround/scheduler"
)

// honeylocust is a tree in its fourteenth winter, trained until two years ago;
// pruning is closed from April to June (a honeylocust rule of the upper Midwest).
func brokenLocust() (*scheduler.Tree, func(*scheduler.Policy)) {
	t := bare("GLTR")
	t.Planted, t.Precision, t.Stage = day("2013-01-10"), scheduler.PreciseDay, scheduler.StageRaising
	t.DBH, t.Height, t.MeasuredOn = 368, 13400, day("2027-01-10")
	t.LastTraining, t.LastVisit = day("2025-01-15"), day("2025-01-15")
	return &t, func(p *scheduler.Policy) {
		p.Seasons.Special = []scheduler.Season{{
			Name: "honeylocust", Kind: scheduler.SeasonClosed, From: scheduler.MonthDay{Month: 4, Day: 1}, To: scheduler.MonthDay{Month: 6, Day: 30},
			Groups: []string{"honeylocust"}, Authority: "state agency", Source: "state agency",
		}}
	}
}

// recorded is the tree after a finished record of some kinds on a day.
func recorded(t *testing.T, tree *scheduler.Tree, on string, kinds ...scheduler.WorkKind) {
	t.Helper()
	r := scheduler.WorkRecord{ID: on, TreeID: tree.ID, Finish: day(on).Time(), Kinds: kinds, Outcome: scheduler.OutcomeDone}
	if faults := r.Against(tree, day(on)); len(faults) > 0 {
		t.Fatal(faults)
	}
	*tree = scheduler.Fold(*tree, tree.Watch, []scheduler.PastRecord{{Record: r, On: day(on)}}, scheduler.FoldRules{}).Tree
}

// ruled is the visit that a rule is among the reasons of.
func ruled(visits []scheduler.Visit, rule string) *scheduler.Visit {
	for i := range visits {
		if reasonOf(visits[i], rule) != "" {
			return &visits[i]
		}
	}
	return nil
}

// A scaffold splits under ice in the fourteenth winter: clean cuts within two
// weeks, a look only after the first season, a third of the sprouts at years 3
// and 5, and an inspection at year 6 (common practice, from memory). Training goes
// on beside it, but takes nothing live before the season after the look.
func TestBrokenTreeIsRestored(t *testing.T) {
	tree, edit := brokenLocust()
	e := presetEngine(t, "upper-midwest", both(edit, evenPace))
	site := apart()
	recorded(t, tree, "2027-01-20", scheduler.MakeSafe)
	for _, step := range []struct {
		rule          string
		due, latest   string
		kind          scheduler.WorkKind
		class         int
		words         string
		today, doneOn string
		season        string
	}{
		{"restoration.clean", "2027-01-20", "2027-02-03", scheduler.Restoration, 3, "clean to sound side branches", "2027-01-21", "2027-01-28", "by 3 Feb 2027"},
		{"restoration.look", "2027-11-01", "2028-03-31", scheduler.Inspection, 4, "look only", "2027-06-01", "2028-01-20", ""},
		{"restoration.sprouts", "2029-11-01", "2030-03-31", scheduler.Restoration, 4, "third of the sprouts", "2028-06-01", "2030-01-20", ""},
		{"restoration.sprouts", "2031-11-01", "2032-03-31", scheduler.Restoration, 4, "third of the sprouts", "2030-06-01", "2032-01-20", ""},
		{"restoration.end", "2032-11-01", "2033-03-31", scheduler.Inspection, 4, "write down what is left", "2032-06-01", "2032-12-01", ""},
	} {
		visits := e.Visits(*tree, site, day(step.today))
		v := ruled(visits, step.rule)
		if v == nil {
			t.Fatalf("%s on %s: not among %+v", step.rule, step.today, visits)
		}
		text := strings.Join(v.Objectives, "\n")
		if !strings.Contains(text, step.words) || (step.season != "" && v.Season != step.season) {
			t.Errorf("%s: season %q, objectives %q", step.rule, v.Season, v.Objectives)
		}
		alone := scheduler.Window{Earliest: v.Window.Earliest, Due: day(step.due), Latest: day(step.latest)}
		if len(v.Kinds) == 1 && (v.Window != alone || v.Class != step.class || v.Kind != step.kind) {
			t.Errorf("%s: %s class %d %+v, want %s class %d %+v", step.rule, v.Kind, v.Class, v.Window, step.kind, step.class, alone)
		}
		if v.Window.Earliest > day(step.doneOn) || v.Window.Latest < day(step.doneOn) {
			t.Errorf("%s: %+v leaves no room for %s", step.rule, v.Window, step.doneOn)
		}
		trained := false
		for i := range visits {
			if hasAny(&visits[i], []scheduler.WorkKind{scheduler.Training, scheduler.RotationPrune}) && visits[i].Window.Earliest < day("2028-11-01") {
				t.Errorf("%s: routine live cuts from %s", step.rule, visits[i].Window.Earliest)
			}
			trained = trained || reasonOf(visits[i], "training.interval") != "" || reasonOf(visits[i], "rotation.cycle") != ""
		}
		if !trained {
			t.Errorf("%s: training does not go on beside it", step.rule)
		}
		recorded(t, tree, step.doneOn, v.Kinds...)
	}
	for _, v := range e.Visits(*tree, site, day("2033-06-01")) {
		if strings.Contains(reasonText(v), "restoration.") {
			t.Errorf("restoration has ended, and still: %+v", v.Reasons)
		}
	}
}

func reasonText(v scheduler.Visit) string {
	var b strings.Builder
	for _, r := range v.Reasons {
		b.WriteString(r.Rule + ": " + r.Text + "\n")
	}
	return b.String()
}

// A break in a closed season: clean cuts wait for its end, or for a named approver.
func TestBrokenInAClosedSeason(t *testing.T) {
	tree, edit := brokenLocust()
	e := presetEngine(t, "upper-midwest", edit)
	recorded(t, tree, "2027-05-02", scheduler.MakeSafe)
	v := ruled(e.Visits(*tree, apart(), day("2027-05-03")), "restoration.clean")
	if v == nil || v.Window.Due != day("2027-07-01") || v.Window.Latest != day("2027-07-15") || !strings.Contains(reasonOf(*v, "restoration.closed"), "named approver") {
		t.Fatalf("%+v", v)
	}
	if v.State != scheduler.Upcoming {
		t.Errorf("%s while the season is closed", v.State)
	}
}

// A late visit moves the next one: a growing season lies between them. What was
// over before the policy took effect is not opened again, and a palm has no sprouts to train.
func TestRestorationThatRunsLate(t *testing.T) {
	tree, edit := brokenLocust()
	e := presetEngine(t, "upper-midwest", edit)
	recorded(t, tree, "2027-01-20", scheduler.MakeSafe)
	recorded(t, tree, "2027-01-28", scheduler.Restoration)
	recorded(t, tree, "2028-01-20", scheduler.Inspection)
	recorded(t, tree, "2031-06-28", scheduler.Restoration) // year 3's, in the season of year 5
	v := ruled(e.Visits(*tree, apart(), day("2031-07-02")), "restoration.sprouts")
	if v == nil || v.Window.Due < day("2032-11-01") {
		t.Errorf("no full growing season between two visits: %+v", v)
	}
	for name, change := range map[string]func(*scheduler.Tree){
		"long ago": func(t *scheduler.Tree) { t.BrokenOn = day("2015-01-20") },
		"a palm":   func(t *scheduler.Tree) { t.Species = "SAPA" },
	} {
		tree, _ := brokenLocust()
		tree.BrokenOn = day("2027-01-20")
		change(tree)
		for _, v := range e.Visits(*tree, apart(), day("2027-01-21")) {
			if strings.Contains(reasonText(v), "restoration.") {
				t.Errorf("%s: %s", name, reasonText(v))
			}
		}
	}
}
