package route

import (
	"context"
	"errors"
	"fmt"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

func solve(t testing.TB, p Problem, l Limits) Result {
	t.Helper()
	r, err := Solve(context.Background(), p, l)
	if err != nil {
		t.Fatal(err)
	}
	if err := Check(&p, &r); err != nil {
		t.Fatalf("plan breaks its problem: %v", err)
	}
	return r
}

func TestSolveKeepsEveryConstraint(t *testing.T) {
	for seed := range uint64(60) {
		sh := shape{
			stops: 10 + int(seed), groups: 4 + int(seed%9), vehicles: 1 + int(seed%6), dumps: int(seed % 4),
			windows: seed%3 == 0, crowded: seed%5 == 0,
		}
		solve(t, randomProblem(seed, sh), Limits{Seed: int64(seed), Iterations: 150})
	}
}

// On problems small enough to try everything, no plan may cost less than the
// best one, nearly all must cost the same and none much more: the search keeps
// runs of stops together that the best plan sometimes parts. The bound must not
// exceed the best plan.
func TestSolveAgainstExhaustiveSearch(t *testing.T) {
	feasible, best := 0, 0
	for seed := range uint64(60) {
		sh := shape{stops: 5, groups: 3, vehicles: 1 + int(seed/2%2), dumps: int(seed % 3), windows: seed%4 == 0, crowded: seed%7 == 0}
		p := randomProblem(seed, sh)
		total, paid := exhaustive(&p)
		r := solve(t, p, Limits{Seed: 1, Iterations: 1500})
		switch cost := r.Cost.Total(); {
		case cost < total || cost > total+total/30:
			t.Errorf("seed %d: plan costs %d, the best one %d", seed, cost, total)
		case cost == total:
			best++
		}
		all := []bool{true, true, true, true, true}
		p.Metric = seed%2 == 0
		if b := Bound(&p, all); paid >= 0 && b > paid {
			t.Errorf("seed %d: bound %d exceeds the best plan's %d", seed, b, paid)
		}
		if paid >= 0 {
			feasible++
		}
	}
	if best < 56 {
		t.Errorf("only %d plans of 60 are the best", best)
	}
	if feasible < 20 {
		t.Errorf("only %d problems have a plan for every stop: the bound is hardly tested", feasible)
	}
}

func TestSolveSameSeedSameBytes(t *testing.T) {
	p := randomProblem(3, shape{stops: 80, groups: 30, vehicles: 8, dumps: 2})
	a := solve(t, p, Limits{Seed: 5, Iterations: 400})
	b := solve(t, p, Limits{Seed: 5, Iterations: 400})
	if d := cmp.Diff(a, b); d != "" {
		t.Errorf("two runs differ:\n%s", d)
	}
	if a.Iterations != 400 || a.Seed != 5 {
		t.Errorf("result says %d rounds of seed %d", a.Iterations, a.Seed)
	}
}

func TestSolveImprovesTheFirstPlan(t *testing.T) {
	p := randomProblem(9, shape{stops: 150, groups: 50, vehicles: 12, dumps: 2})
	first := solve(t, p, Limits{Seed: 1, Iterations: 1})
	later := solve(t, p, Limits{Seed: 1, Iterations: 3000})
	if later.Cost.Total() >= first.Cost.Total() {
		t.Errorf("3000 rounds cost %d, one round %d", later.Cost.Total(), first.Cost.Total())
	}
}

func TestSolveKeepsItsDeadline(t *testing.T) {
	p := randomProblem(4, shape{stops: 300, groups: 120, vehicles: 30, dumps: 2})
	for _, limit := range []time.Duration{time.Nanosecond, 150 * time.Millisecond} {
		t.Run(limit.String(), func(t *testing.T) {
			ctx, cancel := context.WithTimeout(context.Background(), limit)
			defer cancel()
			start := time.Now()
			r, err := Solve(ctx, p, Limits{Now: time.Now})
			if err != nil {
				t.Fatal(err)
			}
			if took := time.Since(start); took > limit+2*time.Second {
				t.Errorf("took %v", took)
			}
			if err := Check(&p, &r); err != nil {
				t.Error(err)
			}
		})
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Solve(ctx, p, Limits{}); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled search returns %v", err)
	}
}

// For one vehicle without loads the bound is the best plan itself, as long as
// its groups are few and each is one stop.
func TestBoundOfOneDayIsTight(t *testing.T) {
	for seed := range uint64(12) {
		p := randomProblem(seed, shape{stops: 6, groups: 6, vehicles: 1})
		p.Vehicles[0].Productive, p.Vehicles[0].Skills = 80_000, 3
		for i := range p.Stops {
			s := &p.Stops[i]
			s.Group, s.Place = i, 2+i
			s.Demand, s.Days, s.Lock, s.Skills = 0, 0, 0, 0
		}
		p.Vehicles[0].Profile = 0
		p.Travel = p.Travel[:1]
		_, paid := exhaustive(&p)
		r := solve(t, p, Limits{Seed: 1, Iterations: 300})
		if r.Bound != paid || r.Cost.Paid() != paid {
			t.Errorf("seed %d: bound %d, plan %d, best plan %d", seed, r.Bound, r.Cost.Paid(), paid)
		}
	}
}

// planeTravel gives travel without a table.
type planeTravel struct{}

func (planeTravel) Seconds(from, to int) int { return 60 * max(from-to, to-from) }

func TestSolveWorksWithoutATable(t *testing.T) {
	table := Problem{Places: 40, Travel: []Travel{line(40)}, Metric: true}
	for i := range 30 {
		table.Stops = append(table.Stops, Stop{Place: 1 + i, Group: i, Service: 600, Prize: 1e6})
	}
	for range 3 {
		table.Vehicles = append(table.Vehicles, Vehicle{Productive: 14_000, Capacity: 1, Fixed: 600})
	}
	want := solve(t, table, Limits{Seed: 2, Iterations: 200})
	for _, places := range []int{40, densePlaces + 1} {
		p := table
		p.Places, p.Travel = places, []Travel{planeTravel{}}
		got := solve(t, p, Limits{Seed: 2, Iterations: 200})
		if d := cmp.Diff(want, got); d != "" {
			t.Errorf("%d places by function differ from a table:\n%s", places, d)
		}
	}
}

// line is a street along which places lie a minute apart: 0 is the yard.
func line(places int) Travel {
	m := Matrix{N: places, Sec: make([]int32, places*places)}
	for i := range places {
		for j := range places {
			m.Sec[i*places+j] = int32(60 * max(i-j, j-i))
		}
	}
	return m
}

func TestSolveOpensAGroupOnce(t *testing.T) {
	p := Problem{Places: 4, Travel: []Travel{line(4)}, Metric: true}
	for i := range 12 {
		p.Stops = append(p.Stops, Stop{Place: 1 + i%3, Group: i % 3, Pos: 10 * i, Service: 600, SetUp: 480, Prize: 1e6})
	}
	for d := range 3 {
		p.Vehicles = append(p.Vehicles, Vehicle{Productive: 3400, Capacity: 1, Day: d})
	}
	r := solve(t, p, Limits{Iterations: 500})
	if r.Cost.SetUp != 3*480 || len(r.Unserved) != 0 {
		t.Errorf("set-up takes %d s for three groups, %d stops left out", r.Cost.SetUp, len(r.Unserved))
	}
}

func TestSolvePaysTheLargestSetUpOfAStay(t *testing.T) {
	p := Problem{
		Places: 2, Travel: []Travel{line(2)},
		Stops: []Stop{
			{Place: 1, Service: 60, SetUp: 120, Prize: 1e6}, {Place: 1, Service: 60, SetUp: 900, Prize: 1e6, Skills: 1},
		},
		Vehicles: []Vehicle{{Productive: 9000, Skills: 1}},
	}
	if r := solve(t, p, Limits{Iterations: 50}); r.Cost.SetUp != 900 {
		t.Errorf("set-up takes %d s, want the larger one, 900", r.Cost.SetUp)
	}
}

func TestSolveGoesToTheDumpWhenFullAndBeforeTheEnd(t *testing.T) {
	p := Problem{Places: 6, Travel: []Travel{line(6)}, Dumps: []Dump{{Place: 5, Seconds: 1200}}, Metric: true}
	for i := range 4 {
		p.Stops = append(p.Stops, Stop{Place: 1 + i, Group: i, Service: 300, Demand: 4000, Prize: 1e6})
	}
	p.Vehicles = []Vehicle{{Productive: 20000, Capacity: 9000}}
	r := solve(t, p, Limits{Iterations: 200})
	if r.Cost.Dump != 2*1200 || len(r.Unserved) != 0 {
		t.Errorf("dumping takes %d s, want two trips of 1200", r.Cost.Dump)
	}
	steps := r.Routes[0].Steps
	if steps[len(steps)-1].Dump != 0 {
		t.Errorf("day ends with %+v, want a dump trip", steps[len(steps)-1])
	}
}

func TestSolveNamesTheCause(t *testing.T) {
	far := Matrix{N: 3, Sec: []int32{0, 600, Unreachable, 600, 0, Unreachable, Unreachable, Unreachable, 0}}
	van := Vehicle{Productive: 3600, Capacity: 1000, Skills: 1, Day: 2}
	for _, c := range []struct {
		stop Stop
		want Unserved
	}{
		{Stop{Place: 1, Skills: 2}, Unserved{Cause: NoSkill}},
		{Stop{Place: 1, Days: 1}, Unserved{Cause: NoDay}},
		{Stop{Place: 1, Days: 1, Lock: 1}, Unserved{Cause: Locked}},
		{Stop{Place: 1, Demand: 1500}, Unserved{Cause: TooMuch, Over: 500}},
		{Stop{Place: 1, Demand: 5, Dumps: 2}, Unserved{Cause: NoDump}},
		{Stop{Place: 2}, Unserved{Cause: NoRoute}},
		{Stop{Place: 1, Service: 2500}, Unserved{Cause: TooLong, Over: 100}},
		{Stop{Place: 1, Service: 1200, SetUp: 600, Demand: 10}, Unserved{Cause: TooLong, Over: 400}}, // 600 s at the dump
		{Stop{Place: 1, Close: 599}, Unserved{Cause: Closed}},
		{Stop{Place: 1, Group: 1, Pos: 5, Service: 1400}, Unserved{Cause: NoTimeLeft, Over: 5}},
	} {
		t.Run(fmt.Sprintf("%s over %d", c.want.Cause, c.want.Over), func(t *testing.T) {
			p := Problem{Places: 3, Travel: []Travel{far}, Vehicles: []Vehicle{van}, Dumps: []Dump{{Place: 1, Seconds: 1000}}}
			p.Stops = []Stop{c.stop, {Place: 1, Group: 1, Service: 1000, Prize: 1}}
			if c.want.Cause != NoTimeLeft {
				p.Stops = p.Stops[:1]
			}
			r := solve(t, p, Limits{Iterations: 20})
			if d := cmp.Diff([]Unserved{c.want}, r.Unserved); d != "" {
				t.Errorf("left out (-want +got):\n%s", d)
			}
		})
	}
	p := Problem{Places: 1, Stops: []Stop{{}}}
	if r := solve(t, p, Limits{}); r.Unserved[0].Cause != NoVehicle {
		t.Errorf("without vehicles the cause is %q", r.Unserved[0].Cause)
	}
}

func TestSolveRefusesABrokenProblem(t *testing.T) {
	good := func() Problem {
		return Problem{Places: 2, Travel: []Travel{line(2)}, Stops: []Stop{{Place: 1}}, Vehicles: []Vehicle{{Productive: 100}}}
	}
	for name, spoil := range map[string]func(*Problem){
		"place":        func(p *Problem) { p.Stops[0].Place = 2 },
		"profile":      func(p *Problem) { p.Vehicles[0].Profile = 1 },
		"day":          func(p *Problem) { p.Vehicles[0].Day = 64 },
		"lock":         func(p *Problem) { p.Stops[0].Lock = 2 },
		"negative":     func(p *Problem) { p.Stops[0].Service = -1 },
		"huge":         func(p *Problem) { p.Stops[0].Service = 1 << 40 },
		"matrix":       func(p *Problem) { p.Travel[0] = Matrix{N: 1, Sec: []int32{0}} },
		"split group":  func(p *Problem) { p.Stops = append(p.Stops, Stop{Place: 0}) },
		"end place":    func(p *Problem) { p.Vehicles[0].End = -1 },
		"dump place":   func(p *Problem) { p.Dumps = []Dump{{Place: 9}} },
		"dump seconds": func(p *Problem) { p.Dumps = []Dump{{Seconds: -1}} },
		"dumps":        func(p *Problem) { p.Dumps = make([]Dump, 65) },
		"capacity":     func(p *Problem) { p.Vehicles[0].Capacity = -1 },
	} {
		p := good()
		spoil(&p)
		if _, err := Solve(context.Background(), p, Limits{}); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

// A tree week: 500 stops on 250 faces, 25 crew-days.
func BenchmarkSolve(b *testing.B) {
	p := randomProblem(1, shape{stops: 500, groups: 250, vehicles: 25, dumps: 2})
	for b.Loop() {
		solve(b, p, Limits{Seed: 1, Iterations: 2000})
	}
}
