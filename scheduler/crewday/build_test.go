package crewday

import (
	"context"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"limbround/geo"
	"limbround/geo/road"
	"limbround/scheduler"
)

var update = flag.Bool("update", false, "rewrite golden files")

func packed(t testing.TB, r Request) Result {
	t.Helper()
	out, err := Build(context.Background(), r)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestBuildKeepsEveryRule(t *testing.T) {
	for seed := range uint64(8) {
		r := base(8, 2+int(seed))
		r.Jobs = randomJobs(seed, 8, 40+40*int(seed))
		r.Seed, r.Iterations = int64(seed), 100
		if seed%2 == 0 {
			r.Dumps = r.Dumps[:1] // nobody takes elm wood
		}
		out := packed(t, r)
		check(t, &r, &out)
	}
}

func TestBuildGolden(t *testing.T) {
	r := base(4, 2)
	r.Days = r.Days[:1]
	r.Jobs = []Job{
		job(1, 1, 20, scheduler.SideRight, scheduler.Residential, scheduler.Visit{Kind: scheduler.Training, Minutes: 5, ChipsL: 40, Class: 3, Skill: scheduler.Ground}),
		job(2, 1, 60, scheduler.SideRight, scheduler.Residential, scheduler.Visit{Kind: scheduler.Training, Minutes: 5, ChipsL: 40, Class: 3, Skill: scheduler.Ground}),
		job(3, 17, 30, scheduler.SideLeft, scheduler.Arterial, scheduler.Visit{Kind: scheduler.RoadClearance, Minutes: 35, ChipsL: 900, Class: 2, Skill: scheduler.Lift}),
		job(4, 17, 90, scheduler.SideLeft, scheduler.Arterial, scheduler.Visit{Kind: scheduler.RotationPrune, Minutes: 95, ChipsL: 11_500, Class: 4, Skill: scheduler.Lift}),
		job(5, 9, 50, scheduler.SideRight, scheduler.Residential, scheduler.Visit{Kind: scheduler.RotationPrune, Minutes: 60, ChipsL: 700, Class: 4, Skill: scheduler.LineClearance}),
	}
	r.Iterations = 300
	out := packed(t, r)
	check(t, &r, &out)
	got, err := json.MarshalIndent(struct {
		Packets  []scheduler.Packet
		Unserved []scheduler.Unserved
	}{out.Packets, out.Unserved}, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	got = append(got, '\n')
	file := filepath.Join("testdata", "day.golden.json")
	if *update {
		if err := os.WriteFile(file, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(string(want), string(got)); d != "" {
		t.Errorf("packets differ (-want +got):\n%s", d)
	}
}

func TestBuildSameRequestSamePackets(t *testing.T) {
	r := base(8, 4)
	r.Jobs = randomJobs(5, 8, 150)
	r.Seed, r.Iterations = 9, 200
	a, b := packed(t, r), packed(t, r)
	if d := cmp.Diff(a, b); d != "" {
		t.Errorf("two builds differ:\n%s", d)
	}
}

func TestBuildSaysWhatStopsAVisit(t *testing.T) {
	ground := scheduler.Visit{Kind: scheduler.Training, Minutes: 10, Skill: scheduler.Ground, Class: 4}
	for _, c := range []struct {
		name   string
		change func(r *Request, j *Job)
		want   string
	}{
		{"held", func(_ *Request, j *Job) { j.Visit.State, j.Visit.Hold = scheduler.Held, "nest, recheck 1 July" }, "held: nest, recheck 1 July"},
		{"not ours", func(_ *Request, j *Job) { j.Visit.State = scheduler.NotOurs }, "not the city's tree"},
		{"done", func(_ *Request, j *Job) { j.Visit.Progress = scheduler.Completed }, "not open: the visit is completed"},
		{"window", func(_ *Request, j *Job) { j.Visit.Window.Earliest = monday + 20 }, "window not open: not before 2026-12-20"},
		{"overdue in a closed season", func(_ *Request, j *Job) {
			j.Visit.State, j.Visit.ClosedTo = scheduler.OverdueClosed, monday+30
		}, "closed season: until 2026-12-29"},
		{"closed season", func(r *Request, j *Job) {
			j.Group = "oak"
			r.Seasons.Special = []scheduler.Season{{Kind: scheduler.SeasonClosed, Groups: []string{"oak"}, From: scheduler.MonthDay{Month: 11, Day: 1}, To: scheduler.MonthDay{Month: 1, Day: 15}}}
		}, "closed season: until 2027-01-15"},
		{"lift", func(_ *Request, j *Job) { j.Visit.Skill = scheduler.Lift }, "no crew for lift work: none is qualified on these days"},
		{"lapsed lift", func(r *Request, j *Job) {
			j.Visit.Skill = scheduler.Lift
			lift := r.Crews[0]
			lift.ID, lift.Name, lift.Skills = 150, "Hawk", []scheduler.Skill{scheduler.Lift}
			lift.Tickets = []scheduler.Ticket{{What: "lift test", Expires: monday - 3}}
			r.Crews = append(r.Crews, lift)
		}, "no crew for lift work: none is qualified on these days; crew Hawk cannot be issued on 2026-11-30: lift test expired 2026-11-27"},
		{"alone", func(r *Request, _ *Job) { r.Crews[0].People = 1 }, "no crew for ground work: none of two or more people is qualified on these days"},
		{"no crew", func(r *Request, _ *Job) { r.Crews[0].DaysOff = week() }, "no crew: none can be issued work on these days"},
		{"too long", func(_ *Request, j *Job) { j.Visit.Minutes = 500 }, "does not fit a shift: "},
		{"chips", func(_ *Request, j *Job) { j.Visit.ChipsL = 12_500 }, "too many chips: its 12500 l exceed the largest truck by 500 l"},
		{"elm wood", func(r *Request, j *Job) {
			r.Dumps = r.Dumps[:1]
			j.Sanitation, j.Visit.ChipsL = "elm", 10
		}, `no dump site: none takes elm`},
		{"off the streets", func(_ *Request, j *Job) {
			j.Site.StreetID, j.Site.FaceID, j.Site.Position = 0, 0, spot(-5000, 0)
		}, "street not reachable: none within 300 m of the tree"},
		{"island", func(r *Request, j *Job) {
			streets, _ := town(3)
			r.Graph = road.New(append(streets, road.Street{ID: 900, Line: []geo.Point{spot(5000, 0), spot(5100, 0)}}))
			j.Site.StreetID = 900
		}, "street not reachable: no way there and back for a truck (one-ways, posted limits or a gap in the streets)"},
		{"no streets", func(r *Request, _ *Job) { r.Graph = road.New(nil) }, "street not reachable: no streets are imported"},
		{"locked elsewhere", func(_ *Request, j *Job) { j.Lock = scheduler.CrewDay{CrewID: 101, Day: monday + 5} }, "locked: to crew 101 on 2026-12-05, which takes no new packet then"},
		{"busy", func(r *Request, _ *Job) {
			for _, d := range week() {
				r.Busy = append(r.Busy, scheduler.CrewDay{CrewID: 101, Day: d})
			}
		}, "no crew: none can be issued work on these days"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := base(3, 1)
			r.Jobs = []Job{job(1, 1, 40, scheduler.SideRight, scheduler.Residential, ground)}
			r.Iterations = 5
			c.change(&r, &r.Jobs[0])
			out := packed(t, r)
			check(t, &r, &out)
			if len(out.Unserved) != 1 || !strings.HasPrefix(out.Unserved[0].Reason, c.want) {
				t.Errorf("left out %+v, want %q", out.Unserved, c.want)
			}
			for _, u := range out.Unserved {
				if gist := scheduler.Gist(u.Reason); strings.ContainsAny(gist, "0123456789") || len(gist) > 40 {
					t.Errorf("%q cannot be counted by %q", u.Reason, gist)
				}
			}
		})
	}
}

func TestBuildPutsUrgentWorkFirst(t *testing.T) {
	r := base(6, 1)
	for i := range 40 { // more than a week holds
		v := scheduler.Visit{Kind: scheduler.RotationPrune, Minutes: 90, Class: 4, Skill: scheduler.Ground}
		if i == 17 {
			v.Kind, v.Class = scheduler.MakeSafe, 0
		}
		r.Jobs = append(r.Jobs, job(int64(i+1), int64(2*(i%36)+1), 40, scheduler.SideRight, scheduler.Residential, v))
	}
	r.Iterations = 300
	out := packed(t, r)
	check(t, &r, &out)
	if len(out.Unserved) == 0 || !strings.HasPrefix(out.Unserved[0].Reason, "no time left: the best place for it exceeds the shift by ") {
		t.Errorf("left out: %+v", out.Unserved)
	}
	found := false
	for _, s := range out.Packets[0].Stops {
		found = found || s.VisitID == 18
	}
	if !found || out.Packets[0].Day != monday {
		t.Error("the tree to be made safe is not in Monday's packet")
	}
}

func TestBuildKeepsAPostedStopInItsCrewDay(t *testing.T) {
	r := base(6, 4)
	r.Jobs = randomJobs(2, 6, 60)
	r.Jobs[7].Visit.Skill = scheduler.Ground
	r.Jobs[7].Lock = scheduler.CrewDay{CrewID: 103, Day: monday + 3}
	r.Iterations = 200
	out := packed(t, r)
	check(t, &r, &out)
	for _, p := range out.Packets {
		for _, s := range p.Stops {
			if s.VisitID == 8 && (p.CrewID != 103 || p.Day != monday+3 || !s.Locked) {
				t.Errorf("posted stop is with crew %d on %s, locked %v", p.CrewID, p.Day, s.Locked)
			}
		}
	}
}

func TestBuildTurnsATallTruckRoundALowBridge(t *testing.T) {
	streets, _ := town(4)
	for i := range streets {
		if streets[i].ID == 1 {
			streets[i].MaxHeight = geo.Metres(3)
		}
	}
	r := base(4, 1)
	r.Graph = road.New(streets)
	r.Depots[0].Position = spot(-1, 0)
	r.Crews[0].DepotID = 1
	r.Jobs = []Job{job(1, 3, 80, scheduler.SideRight, scheduler.Residential, scheduler.Visit{Kind: scheduler.Training, Minutes: 10, Skill: scheduler.Ground})}
	r.Depots[0].Position = spot(0, 20) // on the street north, off the bridge
	r.Iterations = 5
	low := packed(t, r)
	r.Crews[0].TruckHeight = geo.Metres(3.6)
	tall := packed(t, r)
	if len(tall.Packets) != 1 || tall.Minutes.Drive <= low.Minutes.Drive {
		t.Errorf("tall truck drives %d minutes, the low one %d", tall.Minutes.Drive, low.Minutes.Drive)
	}
}

func TestBuildRefusesAContradiction(t *testing.T) {
	for name, spoil := range map[string]func(*Request){
		"no days":       func(r *Request) { r.Days = nil },
		"zero day":      func(r *Request) { r.Days = []scheduler.Date{0} },
		"a long season": func(r *Request) { r.Days = []scheduler.Date{monday, monday + 60} },
		"no such yard":  func(r *Request) { r.Crews[0].DepotID = 77 },
		"crew twice":    func(r *Request) { r.Crews = append(r.Crews, r.Crews[0]) },
	} {
		r := base(3, 2)
		spoil(&r)
		if _, err := Build(context.Background(), r); scheduler.KindOf(err) != scheduler.Invalid {
			t.Errorf("%s: error is %v", name, err)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	r := base(3, 2)
	r.Jobs = randomJobs(1, 3, 10)
	if _, err := Build(ctx, r); scheduler.KindOf(err) != scheduler.Unavailable {
		t.Errorf("cancelled build returns %v", err)
	}
}

// A city week: 600 visits, 8 crews, 5 days.
func BenchmarkBuildWeek(b *testing.B) {
	r := base(30, 8)
	r.Jobs = randomJobs(1, 30, 600)
	r.Seed, r.Iterations, r.Now = 1, 3000, time.Now
	var out Result
	for b.Loop() {
		out = packed(b, r)
	}
	b.ReportMetric(float64(len(out.Unserved)), "unserved")
	b.ReportMetric(float64(out.Minutes.Paid()), "paid_min")
	b.ReportMetric(float64(out.Bound), "bound_min")
}
