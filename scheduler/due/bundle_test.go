package due

import (
	"math/rand/v2"
	"testing"

	"limbround/scheduler"
)

// exhaustive finds the fewest trips, and among those the least shift, by trying
// every partition of the tasks, every growing season for each part, and every
// single day in it. From the day line on (0 for never) work at the top and other
// work are not done together.
func exhaustive(tasks []option, dose doses, line, from, to scheduler.Date) (trips, shift int, ok bool) {
	type key struct{ set, year int }
	cost := map[key]int{} // least shift of a set of tasks done on one day of a growing season
	years := map[int]bool{}
	for d := from; d <= to; d++ {
		y := dose.cal.doseYear(d)
		years[y] = true
		for set := 1; set < 1<<len(tasks); set++ {
			sum, can := 0, true
			tops, others := false, false
			for i := range tasks {
				if set>>i&1 == 1 {
					tops, others = tops || tasks[i].top, others || !tasks[i].top
					can = can && tasks[i].allows(d)
					sum += tasks[i].shift(d)
				}
			}
			can = can && (line == 0 || d < line || !tops || !others)
			if old, seen := cost[key{set, y}]; can && (!seen || sum < old) {
				cost[key{set, y}] = sum
			}
		}
	}
	type part struct{ set, year int }
	var parts []part
	trips = len(tasks) + 1
	var try func(left, sum int)
	try = func(left, sum int) {
		if left == 0 {
			need := map[int]int{}
			for _, p := range parts {
				for i := range tasks {
					if p.set>>i&1 == 1 {
						need[p.year] += tasks[i].need
					}
				}
			}
			for y, n := range need {
				if n > dose.left(y) {
					return
				}
			}
			if n := len(parts); n < trips || (n == trips && sum < shift) {
				trips, shift, ok = n, sum, true
			}
			return
		}
		first := left & -left
		for sub := left; sub > 0; sub = (sub - 1) & left {
			if sub&first == 0 {
				continue
			}
			for y := range years {
				if c, can := cost[key{sub, y}]; can {
					parts = append(parts, part{sub, y})
					try(left&^sub, sum+c)
					parts = parts[:len(parts)-1]
				}
			}
		}
	}
	try(1<<len(tasks)-1, 0)
	return trips, shift, ok
}

// TestBundleMatchesExhaustiveSearch compares the solver with exhaustive search
// on random small cases: windows with holes, one shared dose, some of it used,
// and in half of them a line that parts the crews from some day on.
func TestBundleMatchesExhaustiveSearch(t *testing.T) {
	c := newCalendar(scheduler.SeasonRules{Dormant: scheduler.MonthSpan{From: md(11, 1), To: md(3, 31)}, LeafOn: scheduler.MonthSpan{From: md(4, 15), To: md(10, 31)}})
	rng := rand.New(rand.NewPCG(7, 11))
	from := day("2027-01-01")
	const horizon = 900
	fewer, dosed, shared, parted := 0, 0, 0, 0
	for n := range 800 {
		tasks := make([]option, 2+rng.IntN(3))
		for i := range tasks {
			o := &tasks[i]
			at := from + scheduler.Date(rng.IntN(400))
			for range 1 + rng.IntN(3) {
				end := at + scheduler.Date(rng.IntN(200))
				o.runs[o.n] = days{at, min(end, from+horizon)}
				o.n++
				if at = end + 2 + scheduler.Date(rng.IntN(120)); at > from+horizon {
					break
				}
			}
			o.due = o.runs[0].from + scheduler.Date(rng.IntN(300)) - 30
			o.need = rng.IntN(4) * 8
			o.top = rng.IntN(2) == 0
		}
		line := scheduler.Date(0)
		if rng.IntN(2) == 0 {
			line = from + scheduler.Date(rng.IntN(500))
		}
		dose := doses{cal: &c, limit: 25, year: 2027, used: rng.IntN(2) * 10}
		trips, shift, ok := exhaustive(tasks, dose, line, from, from+horizon)
		given := append([]option(nil), tasks...)
		got := bundleTasks(given, dose, line)
		if !ok { // no way to keep to the dose: the tasks share it
			shared++
			for i := range tasks {
				tasks[i].need = 0
			}
			trips, shift, _ = exhaustive(tasks, dose, line, from, from+horizon)
		}
		if got.trips != trips || got.shift != shift {
			t.Fatalf("case %d: %d trips with shift %d, exhaustive search finds %d with %d: %+v", n, got.trips, got.shift, trips, shift, tasks)
		}
		sum := 0
		for i := range tasks {
			d := got.day[got.trip[i]]
			if !tasks[i].allows(d) {
				t.Fatalf("case %d: task %d is put on %s, outside its runs", n, i, d)
			}
			sum += tasks[i].shift(d)
			for j := range i {
				if line != 0 && d >= line && got.trip[j] == got.trip[i] && tasks[j].top != tasks[i].top {
					t.Fatalf("case %d: tasks %d and %d go together on %s, from %s on they may not", n, j, i, d, line)
				}
			}
		}
		if sum != got.shift {
			t.Fatalf("case %d: shift %d is said, %d is so", n, got.shift, sum)
		}
		if trips < len(tasks) {
			fewer++
		}
		if free, _, _ := exhaustive(tasks, dose, 0, from, from+horizon); line != 0 && free < trips {
			parted++
		}
		for i := range tasks {
			tasks[i].need = 0
		}
		if free, _, _ := exhaustive(tasks, dose, line, from, from+horizon); ok && free < trips {
			dosed++
		}
	}
	if fewer < 100 || dosed < 20 || shared < 3 || parted < 20 {
		t.Errorf("the cases test too little: %d bundled, %d split by the dose, %d shared, %d parted by the line", fewer, dosed, shared, parted)
	}
}

func TestBundleKeepsLoneTaskOnItsDueDay(t *testing.T) {
	o := option{due: day("2028-11-01"), n: 1}
	o.runs[0] = days{day("2027-11-01"), day("2029-03-31")}
	if b := bundleTasks([]option{o}, doses{}, 0); b.trips != 1 || b.day[0] != o.due {
		t.Errorf("%+v", b)
	}
	o.runs[0] = days{day("2028-12-01"), day("2029-03-31")} // the due day has passed: the first day left
	if b := bundleTasks([]option{o}, doses{}, 0); b.day[0] != day("2028-12-01") {
		t.Errorf("%+v", b)
	}
}
