package year

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"limbround/scheduler"
)

func testCrew(skills ...scheduler.Skill) scheduler.Crew {
	return scheduler.Crew{ID: 1, Name: "one", Skills: skills, ShiftMin: 480, YardMin: 45, BreakMin: 30, Weekdays: 31}
}

func testWork() scheduler.WorkRules {
	return scheduler.WorkRules{SetUp: map[scheduler.StreetClass]int{scheduler.Arterial: 25, scheduler.Residential: 8}, WalkSetUp: 3}
}

func randomRequest(rng *rand.Rand, items int) Request {
	r := Request{Year: 2027, Today: scheduler.NewDate(2027, 11, 10), Work: testWork(), PolicyID: 1}
	r.Crews = []scheduler.Crew{testCrew(scheduler.Ground), testCrew(scheduler.Ground, scheduler.Lift)}
	for i := range r.Crews {
		r.Crews[i].Weekdays = 1 << rng.IntN(5)
	}
	for i := range items {
		e := scheduler.NewDate(2027, 10, 1).AddDays(rng.IntN(80))
		v := scheduler.Visit{
			ID: int64(i + 1), Class: rng.IntN(3) + 2, Minutes: 20 + rng.IntN(300), Skill: scheduler.Ground,
			State:  scheduler.Due,
			Window: scheduler.Window{Earliest: e, Due: e.AddDays(rng.IntN(30)), Latest: e.AddDays(30 + rng.IntN(60))},
		}
		if rng.IntN(3) == 0 {
			v.Skill = scheduler.Lift
		}
		it := Item{Visit: v, FaceID: int64(rng.IntN(4)), Section: fmt.Sprint(rng.IntN(2)), Class: scheduler.Residential}
		if rng.IntN(4) == 0 {
			it.Closed = []Span{{scheduler.NewDate(2027, 11, 15), scheduler.NewDate(2027, 12, 5)}}
		}
		r.Items = append(r.Items, it)
	}
	return r
}

// checkPlan recounts a plan from the request alone.
func checkPlan(t *testing.T, r Request, p scheduler.Plan) {
	t.Helper()
	seen := map[int64]bool{}
	use := map[scheduler.Date]map[scheduler.Skill]int{}
	byID := map[int64]*Item{}
	for i := range r.Items {
		byID[r.Items[i].Visit.ID] = &r.Items[i]
	}
	for _, l := range p.Lines {
		if seen[l.VisitID] {
			t.Fatalf("visit %d has two lines", l.VisitID)
		}
		seen[l.VisitID] = true
		if l.Week.IsZero() != (l.Carried != "") {
			t.Fatalf("visit %d: week %q and carried %q", l.VisitID, l.Week, l.Carried)
		}
		if l.Week.IsZero() {
			continue
		}
		it := byID[l.VisitID]
		ok := false
		for d := range 5 {
			day := l.Week.AddDays(d)
			ok = ok || (day >= it.Visit.Window.Earliest && !closed(it.Closed, day))
		}
		if !ok || l.Week.AddDays(6) < r.Today {
			t.Fatalf("visit %d in week %s: closed, too early or past", l.VisitID, l.Week)
		}
		if use[l.Week] == nil {
			use[l.Week] = map[scheduler.Skill]int{}
		}
		use[l.Week][l.Skill] += l.Minutes
	}
	if len(seen) != len(r.Items) {
		t.Fatalf("%d lines for %d items", len(seen), len(r.Items))
	}
	for week, by := range use {
		lift, all := 0, 0
		for i := range r.Crews {
			c := &r.Crews[i]
			for d := range 7 {
				if !c.Works(week.AddDays(d)) {
					continue
				}
				m := (c.ShiftMin - c.YardMin - c.BreakMin) * 85 / 100
				all += m
				if c.Has(scheduler.Lift) {
					lift += m
				}
			}
		}
		if by[scheduler.Lift] > lift || by[scheduler.Lift]+by[scheduler.Ground] > all {
			t.Fatalf("week %s holds %v, capacity lift %d all %d", week, by, lift, all)
		}
	}
	for c := range p.Objective {
		if p.Bound[c] > p.Objective[c] {
			t.Fatalf("class %d: bound %d above objective %d", c, p.Bound[c], p.Objective[c])
		}
	}
}

func TestBuildKeepsCapacityAndLosesNothing(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		r := randomRequest(rng, 1+rng.IntN(60))
		p, err := Build(r)
		if err != nil {
			t.Fatal(err)
		}
		checkPlan(t, r, p)
	}
}

// The best plan of a small year, by trying every week for every visit. A face
// opened in a week costs the least set-up among its visits, out of the widest
// pool that any of them could pay from: no real plan pays less.
func exhaustive(tasks []task, items []Item, setUp func(*Item) int, room *capacity, class int) int64 {
	var mine []*task
	least, from := map[int64]int{}, map[int64]int{}
	for i := range tasks {
		t := &tasks[i]
		it := &items[t.item]
		if s, ok := least[it.FaceID]; !ok || setUp(it) < s {
			least[it.FaceID] = setUp(it)
		}
		from[it.FaceID] = max(from[it.FaceID], t.level)
		if t.class == class {
			mine = append(mine, t)
		}
	}
	opened := map[faceWeek]int{}
	best := never
	var try func(i int, cost int64)
	try = func(i int, cost int64) {
		if cost >= best {
			return
		}
		if i == len(mine) {
			best = cost
			return
		}
		t := mine[i]
		it := &items[t.item]
		for w, c := range t.cost {
			if c >= never {
				continue
			}
			if w == len(room.pool) {
				try(i+1, cost+c)
				continue
			}
			before := room.pool[w]
			at := faceWeek{it.FaceID, w}
			switch {
			case it.FaceID == 0:
				room.take(w, t.level, t.work+setUp(it))
			case opened[at] == 0:
				room.take(w, from[it.FaceID], least[it.FaceID])
				fallthrough
			default:
				room.take(w, t.level, t.work)
			}
			opened[at]++
			if room.fits(w, 0, 0) {
				try(i+1, cost+c)
			}
			opened[at]--
			room.pool[w] = before
		}
	}
	try(0, 0)
	return best
}

func TestBoundIsBelowTheExhaustiveOptimum(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	positive, tighter := 0, 0
	for range 200 {
		r := randomRequest(rng, 7)
		for i := range r.Items {
			r.Items[i].Visit.Class = 3
			if rng.IntN(5) == 0 {
				r.Items[i].Visit.Class = 4
			}
			r.Items[i].Visit.Minutes = 150 + rng.IntN(120)
			r.Items[i].FaceID = int64(rng.IntN(3))
			if rng.IntN(2) == 0 {
				r.Items[i].Class = scheduler.Arterial
			}
		}
		cal := newCalendar(r.Year, r.Today)
		room := newCapacity(&cal, r.Crews)
		var tasks []task
		for i := range r.Items {
			tasks = append(tasks, newTask(&cal, i, &r.Items[i]))
		}
		setUp := newAssignment(&cal, &room, r).setup
		bare := bound(tasks, &room)[3]
		share(tasks, r.Items, setUp)
		b := bound(tasks, &room)[3]
		opt := exhaustive(tasks, r.Items, setUp, &room, 3)
		if b > opt {
			t.Fatalf("bound %d above optimum %d", b, opt)
		}
		if b > 0 {
			positive++
		}
		if b > bare {
			tighter++
		}
	}
	if positive == 0 || tighter == 0 {
		t.Fatalf("%d bounds above zero, %d tighter by the set-up: the ascent or the shares do nothing", positive, tighter)
	}
}

func TestBuildNamesWhyAVisitIsCarriedOver(t *testing.T) {
	base := scheduler.Visit{ID: 1, Class: 4, Minutes: 30, Skill: scheduler.Ground, State: scheduler.Due, Window: scheduler.Window{
		Earliest: scheduler.NewDate(2027, 1, 1), Due: scheduler.NewDate(2027, 3, 31), Latest: scheduler.NewDate(2028, 3, 31),
	}}
	for _, tc := range []struct {
		name, want string
		edit       func(*Request)
	}{
		{"held", "held: nest", func(r *Request) { r.Items[0].Visit.State, r.Items[0].Visit.Hold = scheduler.Held, "nest" }},
		{"not ours", "not ours", func(r *Request) { r.Items[0].Visit.State = scheduler.NotOurs }},
		{"next year", "after the year", func(r *Request) { r.Items[0].Visit.Window.Earliest = scheduler.NewDate(2028, 2, 1) }},
		{"closed", "closed season: ", func(r *Request) {
			r.Items[0].Closed = []Span{{scheduler.NewDate(2027, 1, 1), scheduler.NewDate(2028, 1, 31)}}
		}},
		{"no crew", "ground crew time used up: no open week", func(r *Request) { r.Crews = nil }},
	} {
		t.Run(tc.name, func(t *testing.T) {
			r := Request{Year: 2027, Today: scheduler.NewDate(2027, 1, 4), Items: []Item{{Visit: base}}, Crews: []scheduler.Crew{testCrew()}, Work: testWork()}
			tc.edit(&r)
			p, err := Build(r)
			if err != nil {
				t.Fatal(err)
			}
			if got := p.Lines[0].Carried; !strings.Contains(got, tc.want) {
				t.Errorf("carried %q, want it to say %q", got, tc.want)
			}
		})
	}
}

func TestEachWeekBelongsToOneYear(t *testing.T) {
	seen := map[scheduler.Date]int{}
	for y := 2020; y <= 2034; y++ {
		for _, w := range newCalendar(y, 0).weeks {
			if seen[w] != 0 {
				t.Fatalf("week %s in %d and %d", w, seen[w], y)
			}
			seen[w] = y
		}
	}
	for w := scheduler.NewDate(2020, 1, 6); w < scheduler.NewDate(2034, 12, 1); w += 7 {
		if seen[w] == 0 {
			t.Fatalf("week %s in no year", w)
		}
	}
}
