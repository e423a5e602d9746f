package due

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"limbround/geo"
	"limbround/scheduler"
	"limbround/scheduler/growth"
)

// A plain simulation of the training window, written apart from the rules: a
// table of days made with package time, seasons found by walking over it, and
// branches that grow from season to season. Of the project it takes the policy's
// figures and the size on the growth curve, nothing else.

// almanac is a table of days: for each the dormant season in which a live cut
// of the species is open, and whether it is the middle or the first day of a growing season.
type almanac struct {
	from   scheduler.Date
	season []int // year the dormant season began in, 0 for a closed or other day
	winter []int // the same without regard to closures
	middle []bool
	budded []bool
}

func newAlmanac(p *scheduler.Policy, group string) almanac {
	begin, end := time.Date(1985, 1, 1, 0, 0, 0, 0, time.UTC), time.Date(2075, 1, 1, 0, 0, 0, 0, time.UTC)
	a := almanac{from: scheduler.NewDate(1985, time.January, 1)}
	code := func(t time.Time) int { return int(t.Month())*100 + t.Day() }
	md := func(d scheduler.MonthDay) int { return d.Month*100 + d.Day }
	in := func(c int, f, t scheduler.MonthDay) bool {
		if md(f) <= md(t) {
			return md(f) <= c && c <= md(t)
		}
		return c >= md(f) || c <= md(t)
	}
	for t := begin; t.Before(end); t = t.AddDate(0, 0, 1) {
		c, season := code(t), 0
		if in(c, p.Seasons.Dormant.From, p.Seasons.Dormant.To) {
			season = t.Year()
			if c < md(p.Seasons.Dormant.From) {
				season--
			}
		}
		a.winter = append(a.winter, season)
		for _, s := range p.Seasons.Special {
			mine := len(s.Groups) == 0
			for _, g := range s.Groups {
				mine = mine || g == group
			}
			if mine && ((s.Kind == scheduler.SeasonClosed && in(c, s.From, s.To)) || (s.Kind == scheduler.SeasonAllowed && !in(c, s.From, s.To))) {
				season = 0
			}
		}
		f := time.Date(t.Year(), time.Month(p.Seasons.LeafOn.From.Month), p.Seasons.LeafOn.From.Day, 0, 0, 0, 0, time.UTC)
		l := time.Date(t.Year(), time.Month(p.Seasons.LeafOn.To.Month), p.Seasons.LeafOn.To.Day, 0, 0, 0, 0, time.UTC)
		half := int(l.Sub(f).Hours()/24) / 2
		a.season = append(a.season, season)
		a.middle = append(a.middle, t.Equal(f.AddDate(0, 0, half)))
		a.budded = append(a.budded, t.Equal(f))
	}
	return a
}

// next is the first open day of the first dormant season that begins after a day of a growing season.
func (a *almanac) next(after scheduler.Date) scheduler.Date {
	for d := after; ; d++ {
		if a.season[d-a.from] != 0 {
			return d
		}
	}
}

// end is the last open day of the season that a day lies in.
func (a *almanac) end(d scheduler.Date) scheduler.Date {
	y, last := a.season[d-a.from], d
	for ; d < last+200; d++ {
		if a.season[d-a.from] == y {
			last = d
		}
	}
	return last
}

// begin is the first open day of the season that a day lies in.
func (a *almanac) begin(d scheduler.Date) scheduler.Date {
	y, first := a.season[d-a.from], d
	for ; d > first-200; d-- {
		if a.season[d-a.from] == y {
			first = d
		}
	}
	return first
}

// middles is the n-th middle of a growing season from a day on, that day counted.
func (a *almanac) middles(from scheduler.Date, n int) scheduler.Date {
	for d := from; ; d++ {
		if a.middle[d-a.from] {
			if n--; n == 0 {
				return d
			}
		}
	}
}

// budding is the first day after a day on which a growing season begins.
func (a *almanac) budding(after scheduler.Date) scheduler.Date {
	for d := after + 1; ; d++ {
		if a.budded[d-a.from] {
			return d
		}
	}
}

// world is what the simulation knows of one species under a policy.
type world struct {
	a         almanac
	small     float64 // largest small cut, one row stricter for a weak compartmentaliser
	ask       float64 // above it a codominant stem is beyond training
	temporary float64
	leader    bool // the one-leader rule holds
	pace      int  // growing seasons that the growth class adds to an interval
}

// fate is what the simulation says of one watched branch.
type fate struct {
	by    scheduler.Date // last day on which it is a small cut, 0 for no limit in sight
	never bool
}

// follow grows a branch from season to season until it is no longer small.
func (w *world) follow(it *scheduler.WatchItem, proj growth.Projection, limit float64) fate {
	first := w.a.next(w.a.middles(it.SeenOn, 1))
	if !it.ReducedOn.IsZero() {
		first = max(first, w.a.next(w.a.budding(it.ReducedOn)))
	}
	share := 0.4 // a shaded branch
	if strings.Contains(it.What, "leader") || strings.Contains(it.What, "top") {
		share = 1
	}
	if !it.ReducedOn.IsZero() {
		share /= 2
	}
	trunk := float64(proj.At(it.SeenOn).DBH)
	branch, stem := float64(it.Diameter), float64(it.StemDiameter)
	if it.StemDiameter <= 0 {
		stem = max(trunk, branch)
	}
	var out fate
	good, at := false, first
	for range 13 {
		last := w.a.end(at)
		if now := float64(proj.At(last).DBH); now > trunk {
			grown := stem * (now - trunk) / trunk
			trunk, stem, branch = now, stem+grown, branch+grown*share
		}
		slim := branch <= stem/2+1e-9 || (strings.Contains(it.What, "temporary") && branch <= 25)
		switch {
		case branch <= limit+1e-9 && slim:
			good, out.by = true, last
		case good:
			return out
		case branch > limit:
			return fate{never: true}
		}
		at = w.a.next(last + 60)
	}
	return fate{} // no end in sight
}

// bound notes the season of a deadline.
func bound(win *scheduler.Window, a *almanac, by scheduler.Date) bool {
	if by >= win.Latest {
		return false
	}
	win.Latest, win.Due = by, min(win.Due, a.begin(by))
	return true
}

// window simulates the training window of a tree without walk or road; rules
// collects what must be said beside it.
func (w *world) window(t *scheduler.Tree, p *scheduler.Policy, proj growth.Projection) (win scheduler.Window, rules map[string]bool) {
	rules = map[string]bool{}
	var rule scheduler.StageRule
	for _, s := range p.Training.Stages {
		if s.Stage == t.Stage {
			rule = s
		}
	}
	// One season more for a slow species and one less for a fast one, within 2
	// to 5 and no further off than the stage's own interval is.
	for range max(w.pace, -w.pace) {
		if w.pace > 0 && rule.Seasons < 5 {
			rule.Seasons++
		}
		if w.pace < 0 && rule.Seasons > 2 {
			rule.Seasons--
		}
	}
	win.Due = w.a.next(w.a.middles(t.LastTraining, rule.Seasons))
	win.Latest = w.a.end(w.a.next(w.a.middles(t.LastTraining, rule.Seasons+rule.LatestPlus)))
	win.Earliest = win.Due
	if rule.Seasons > 1 {
		win.Earliest = w.a.next(w.a.middles(t.LastTraining, rule.Seasons-1))
	}
	due := win.Due
	beyond := make([]bool, len(t.Watch)) // codominant past the small cut: held or referred, no deadline
	for i := range t.Watch {
		it := &t.Watch[i]
		if it.Resolved {
			continue
		}
		size := w.sizeOn(it, proj, due)
		if it.IncludedBark && !strings.Contains(it.What, "branch") && size[0] > size[1]/2 && size[0] > w.small {
			beyond[i] = true
			if size[0] > w.ask {
				rules["training.assess"] = true
			} else {
				rules["training.hold_union"] = true
			}
		}
		if it.Intent == scheduler.RemoveLater && !beyond[i] {
			limit, name := w.small, "training.small_cut"
			if strings.Contains(it.What, "temporary") && w.temporary < w.small {
				limit, name = w.temporary, "training.temporary"
			}
			f := w.follow(it, proj, limit)
			if f.never && limit < w.small {
				name = "training.small_cut"
				f = w.follow(it, proj, w.small)
			}
			if f.never {
				rules["training.never_small"] = true
			}
			if f.by != 0 && bound(&win, &w.a, f.by) {
				rules[name] = true
			}
		}
		if it.NextCheck > t.LastTraining && it.Intent != scheduler.RemoveLater {
			d := it.NextCheck
			for w.a.winter[d-w.a.from] == 0 { // the season that has begun by that day
				d--
			}
			for y := w.a.winter[d-w.a.from]; w.a.winter[d-1-w.a.from] == y; {
				d-- // its first day
			}
			d = w.a.next(d)
			if end := w.a.end(d); end > t.LastTraining && bound(&win, &w.a, end) {
				rules["training.next_check"] = true
			}
		}
	}
	for i := range t.Watch {
		it := &t.Watch[i]
		if it.Resolved || it.Intent != scheduler.RemoveLater || it.ReducedOn.IsZero() || beyond[i] {
			continue
		}
		if may := w.a.next(w.a.budding(it.ReducedOn)); may > win.Earliest && may <= win.Latest {
			win.Earliest = may
			win.Due = max(win.Due, may)
			rules["training.two_step"] = true
		}
	}
	high := func(d scheduler.Date) bool { return float64(proj.At(d).Height)*0.55 > float64(p.Training.Reach) }
	if w.leader && t.Stage != scheduler.StageRaising && !high(win.Due) && high(win.Latest) {
		last := w.a.end(win.Due)
		for at := w.a.next(last + 60); !high(w.a.end(at)); at = w.a.next(w.a.end(at) + 60) {
			last = w.a.end(at)
		}
		if last < win.Latest {
			win.Latest = last
			rules["training.reach"] = true
		}
	}
	if t.DoseUsed > p.Training.FlatDose-10 { // less than a visit is worth: behind that growing season
		from := w.a.next(w.a.middles(scheduler.NewDate(t.DoseSeason, time.January, 1), 1))
		if from > win.Earliest {
			win.Earliest, win.Due, win.Latest = from, max(win.Due, from), max(win.Latest, w.a.end(from))
			rules["training.dose"] = true
		}
	}
	win.Due = min(win.Due, win.Latest)
	win.Earliest = min(win.Earliest, win.Due)
	return win, rules
}

// sizeOn is a branch and its stem on a day, in one step.
func (w *world) sizeOn(it *scheduler.WatchItem, proj growth.Projection, on scheduler.Date) [2]float64 {
	then, now := float64(proj.At(it.SeenOn).DBH), float64(proj.At(on).DBH)
	stem, grown, share := float64(it.StemDiameter), 0.0, 0.4
	if it.StemDiameter <= 0 {
		stem = max(then, float64(it.Diameter))
	}
	if now > then {
		grown = stem * (now - then) / then
	}
	if strings.Contains(it.What, "leader") || strings.Contains(it.What, "top") {
		share = 1
	}
	if !it.ReducedOn.IsZero() {
		share /= 2
	}
	return [2]float64{float64(it.Diameter) + grown*share, stem + grown}
}

func randomTrained(rng *rand.Rand, code string) scheduler.Tree {
	t := bare(code)
	t.LastTraining = day("2020-01-01") + scheduler.Date(rng.IntN(2200))
	t.LastVisit = t.LastTraining
	t.Planted, t.Precision = t.LastTraining-scheduler.Date(700+rng.IntN(4000)), scheduler.PreciseDay
	t.Stage = []scheduler.Stage{scheduler.StageLeader, scheduler.StageTemporaries, scheduler.StageRaising}[rng.IntN(3)]
	t.DBH, t.MeasuredOn = geo.Length(30+rng.IntN(220)), t.LastTraining-scheduler.Date(rng.IntN(400))
	if rng.IntN(2) == 0 {
		t.Height = geo.Length(2500 + rng.IntN(7000))
	}
	if rng.IntN(3) == 0 {
		t.DoseSeason, t.DoseUsed = t.LastTraining.Year()+rng.IntN(4), 5*rng.IntN(6)
	}
	for i := range rng.IntN(5) {
		w := scheduler.WatchItem{
			Letter: string(rune('A' + i)), What: []string{"competing leader", "temporary branch", "low branch", "competing top"}[rng.IntN(4)],
			Height: 2000, Diameter: geo.Length(8 + rng.IntN(70)), StemDiameter: geo.Length(20 + rng.IntN(180)), IncludedBark: rng.IntN(4) == 0,
			Intent: []scheduler.Intent{scheduler.RemoveLater, scheduler.RemoveLater, scheduler.HoldTier, scheduler.DecideNext, scheduler.WatchOnly}[rng.IntN(5)],
			SeenOn: t.LastTraining + scheduler.Date(rng.IntN(500)-200), Resolved: rng.IntN(10) == 0,
		}
		if rng.IntN(4) == 0 { // found by a visit of another kind since
			w.SeenOn = t.LastTraining + scheduler.Date(rng.IntN(1300))
		}
		if rng.IntN(8) == 0 {
			w.StemDiameter = geo.None
		}
		if rng.IntN(2) == 0 {
			w.ReducedOn = w.SeenOn - scheduler.Date(rng.IntN(300))
		}
		if rng.IntN(3) == 0 {
			w.NextCheck = w.SeenOn + scheduler.Date(rng.IntN(2000))
		}
		t.Watch = append(t.Watch, w)
	}
	return t
}

// TestDeadlinesAgainstSimulation compares the window of 10,000 trees with the
// simulation: the interval, the last season of a small cut by diameter and by
// ratio, the limit of a temporary branch, the next check, the season between
// two cuts, ground reach and the dose.
func TestDeadlinesAgainstSimulation(t *testing.T) {
	type of struct {
		code string
		world
		p *scheduler.Policy
		e *Engine
	}
	var worlds []of
	add := func(p scheduler.Policy, small, weak, temporary float64) {
		p.Training.DoseByVisit = nil
		e := engineOf(t, p)
		for _, s := range speciesTable(t) {
			switch s.Code {
			case "ACRU", "QUPA", "ZESE", "ULAM", "PYCA", "ACSA1", "MALUS", "GIBI":
				w := world{a: newAlmanac(&p, s.ClosedGroup), small: small, ask: 100, temporary: temporary}
				w.leader = s.Habit == scheduler.Excurrent || s.Habit == scheduler.Decurrent
				if s.Decay == scheduler.DecayWeak {
					w.small, w.ask = weak, 50
				}
				w.pace = map[string]int{"slow": 1}[s.Growth]
				if p.Training.GrowthSeasons != nil {
					w.pace = p.Training.GrowthSeasons[s.Growth]
				}
				worlds = append(worlds, of{s.Code, w, &p, e})
			}
		}
	}
	p := presetPolicy(t, "lower-midwest")
	if p.Training.SmallCut != 50 || p.Training.SmallRatio != 0.5 {
		t.Fatalf("small cut %s at %.2f: the simulation knows other figures", p.Training.SmallCut, p.Training.SmallRatio)
	}
	add(p, 50, 25, 30)
	// Another city: shorter intervals, more grace, smaller cuts, and oaks closed
	// over the end of the dormant season (Texas A&M Forest Service: February through June).
	p.Training.Stages = slices.Clone(p.Training.Stages)
	for i := range p.Training.Stages {
		p.Training.Stages[i].Seasons = max(1, p.Training.Stages[i].Seasons-2)
		p.Training.Stages[i].LatestPlus = 2
	}
	p.Training.GrowthSeasons = map[string]int{"slow": 1, "fast": -1}
	p.Training.SmallCut, p.Training.FlatDose, p.Training.Structure.TemporaryCut = 60, 30, 25
	p.Seasons.Special = []scheduler.Season{{Kind: scheduler.SeasonClosed, From: md(2, 1), To: md(6, 30), Groups: []string{"oak"}}}
	add(p, 60, 50, 25)
	rng := rand.New(rand.NewPCG(3, 1910))
	seen := map[string]int{}
	for n := range 10_000 {
		w := &worlds[rng.IntN(len(worlds))]
		tree := randomTrained(rng, w.code)
		proj := w.e.species[w.code].curve.Project(tree, 0)
		want, rules := w.window(&tree, w.p, proj)
		v := trainingOf(t, w.e.Visits(tree, apart(), day("2026-11-25")))
		if v.Window != want {
			t.Fatalf("tree %d: %+v\n%+v\nsimulated %+v %v\nthe rules %+v %+v", n, tree, tree.Watch, want, rules, v.Window, v.Reasons)
		}
		slices.Reverse(tree.Watch)
		if again := trainingOf(t, w.e.Visits(tree, apart(), day("2026-11-25"))); again.Window != want {
			t.Fatalf("tree %d: %+v with its watch items the other way round, want %+v", n, again.Window, want)
		}
		for _, rule := range []string{
			"training.small_cut", "training.temporary", "training.never_small", "training.assess", "training.hold_union",
			"training.next_check", "training.two_step", "training.reach", "training.dose",
		} {
			if said := reasonOf(v, rule) != ""; said != rules[rule] {
				t.Fatalf("tree %d: %s said %v, simulated %v: %+v\n%+v\n%+v", n, rule, said, rules[rule], tree, tree.Watch, v.Reasons)
			}
			if rules[rule] {
				seen[rule]++
			}
		}
	}
	for rule, n := range seen {
		if n < 50 {
			t.Errorf("only %d trees test %s", n, rule)
		}
	}
	if len(seen) != 9 {
		t.Errorf("tested %v", seen)
	}
	t.Logf("trees by rule: %v", seen)
}
