package main

import (
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"

	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

// byHand is a city of three trees. PL-001 is a young crabapple with two tops
// at the curb of a bus lane.
const byHand = "../../testdata/byhand"

// newHandmade is the city by hand under the lower Midwest's rules.
func newHandmade(t *testing.T, year int, month time.Month, day int) *program {
	t.Helper()
	p := newProgram(t, year, month, day)
	p.ok("settings", "--name", "Larkin")
	policy := filepath.Join(t.TempDir(), "policy.yaml")
	if err := os.WriteFile(policy, []byte(p.ok("policy", "presets", "lower-midwest")), 0o600); err != nil {
		t.Fatal(err)
	}
	p.ok("policy", "adopt", policy)
	for _, layer := range layerOrder() {
		if layer == "wires" || layer == "signs" {
			continue
		}
		if r := p.load(layer, layerFile(t, byHand, layer)); r.Rejected != 0 || r.New != r.Read {
			t.Fatalf("%s: %+v", layer, r)
		}
	}
	return p
}

// outing is one packet with a tree in it, issued and printed.
type outing struct {
	packet scheduler.Packet
	stop   scheduler.Stop
	page   string
}

// card is the printed card of a tree.
func (o *outing) card(t *testing.T, ref string) string {
	t.Helper()
	for _, c := range strings.Split(o.page, `<article class="card">`)[1:] {
		if strings.Contains(c, "<b>"+ref+"</b>") {
			return c
		}
	}
	t.Fatalf("packet %d has no card of %s", o.packet.ID, ref)
	return ""
}

// goOut carries a tree from its due visit to an issued packet: due pass, annual
// plan, the packets of the week that the plan gave it. The clock then shows the
// packet's day.
func goOut(p *program, ref string) outing {
	p.t.Helper()
	p.ok("due")
	year := p.clock.Year()
	var plan jobs.PlanResult
	p.json(&plan, "year", "plan", "--year", strconv.Itoa(year))
	p.ok("year", "adopt", strconv.FormatInt(plan.Plan, 10))
	line := p.query("SELECT v.id || ' ' || coalesce(l.week::text, l.carried) FROM plan_line l JOIN visit v ON v.id = l.visit_id JOIN tree t ON t.id = v.tree_id WHERE l.plan_id = $1 AND t.ref = $2 ORDER BY l.week", plan.Plan, ref)
	if len(line) == 0 {
		p.t.Fatalf("the plan of %d has no line for %s", year, ref)
	}
	id, when, _ := strings.Cut(line[0], " ")
	week, err := scheduler.ParseDate(when)
	if err != nil {
		p.t.Fatalf("%s is carried over: %s", ref, when)
	}
	p.day(max(week, scheduler.DateOf(p.clock)))
	var pack jobs.PackResult
	p.json(&pack, "packets", "build", "--from", scheduler.DateOf(p.clock).String(), "--days", "5")
	visit, _ := strconv.ParseInt(id, 10, 64)
	var list []scheduler.Packet
	p.json(&list, "packets", "list", "--from", week.String())
	for _, k := range list {
		i := slices.IndexFunc(k.Stops, func(s scheduler.Stop) bool { return s.VisitID == visit })
		if i < 0 || k.State != scheduler.PacketDraft {
			continue
		}
		p.json(&k, "packets", "issue", strconv.FormatInt(k.ID, 10), "--revision", strconv.Itoa(k.Revision))
		p.day(k.Day)
		return outing{k, k.Stops[i], p.ok("packets", "print", strconv.FormatInt(k.ID, 10))}
	}
	p.t.Fatalf("no packet of the week of %s has the visit of %s: %+v", week, ref, pack.Unserved)
	return outing{}
}

// record sends one record and answers its reply.
func (p *program) record(rec scheduler.WorkRecord) (jobs.RecordResult, scheduler.RecordAnswer) {
	p.t.Helper()
	var res jobs.RecordResult
	p.json(&res, "record", "add", writeJSON(p.t, rec))
	if len(res.Answers) != 1 || res.Answers[0].Answer == nil {
		p.t.Fatalf("record: %+v", res)
	}
	return res, *res.Answers[0].Answer
}

// TestATreesWayByHand follows the crabapple through two rounds. What the first
// visit leaves is what the second one is for.
func TestATreesWayByHand(t *testing.T) {
	p := newHandmade(t, 2027, time.February, 2)
	golden(t, "due_explain.txt", p.ok("due", "--explain", "--tree", "PL-001"))
	golden(t, "calendar.txt", p.ok("calendar", "PL-001", "--years", "8"))

	first := goOut(p, "PL-001")
	front, _, _ := strings.Cut(first.page, "</section>")
	_, front, _ = strings.Cut(front, `<section class="front">`)
	golden(t, "front_page.html", front)
	card := first.card(t, "PL-001")
	for _, want := range []string{"118 Weir Street", "crabapple", "2 stems", "bus route", "Nothing on record.", "does not say that the tree is sound"} {
		if !strings.Contains(card, want) {
			t.Errorf("the first card does not say %q", want)
		}
	}

	rec := recordOfStop(p, &first.packet, first.stop)
	rec.LiveCrown, rec.Cuts, rec.Stage = 20, scheduler.CutTally{Under1: 5, OneTwo: 1}, scheduler.StageLeader
	rec.Kinds = append(rec.Kinds, scheduler.Training)
	rec.Watch = []scheduler.WatchFinding{
		{What: "competing top", Height: 1700, Side: scheduler.SideRoad, Diameter: 56, StemDiameter: 70, IncludedBark: true, Done: "reduced by half", Reduced: true, Intent: scheduler.HoldTier},
		{What: "temporary branch", Height: 1300, Side: scheduler.SideWalk, Diameter: 22, StemDiameter: 80, Done: "shortened", Reduced: true, Intent: scheduler.RemoveLater},
	}
	rec.Kinds = slices.Compact(rec.Kinds)
	_, answer := p.record(rec)
	if !slices.Contains(answer.Closed, first.stop.VisitID) || len(answer.Next) == 0 || len(answer.Watch) != 2 {
		t.Fatalf("the answer is %+v", answer)
	}
	trained := slices.IndexFunc(answer.Next, func(v scheduler.Visit) bool { return v.Kind == scheduler.Training })
	if trained < 0 {
		t.Fatalf("no training follows: %+v", answer.Next)
	}
	next := answer.Next[trained] // a visit for basal sprouts alone may come before it
	if next.Window.Due <= first.packet.Day {
		t.Errorf("the next training is due %s", next.Window.Due)
	}
	carriesBoth(t, "next visit", strings.Join(next.Objectives, "\n"))
	calendar := p.ok("calendar", "PL-001", "--years", "8")
	carriesBoth(t, "calendar", calendar)
	golden(t, "calendar_after.txt", calendar)

	before := p.dump()
	if res, _ := p.record(rec); res.Known != 1 || res.Taken != 0 || res.Closed != 0 {
		t.Errorf("the same record again: %+v", res)
	}
	sameRows(t, "the same record again", before, p.dump())

	p.day(max(next.Window.Earliest, next.Window.Due))
	second := goOut(p, "PL-001")
	card = second.card(t, "PL-001")
	carriesBoth(t, "second card", card)
	for _, want := range []string{"competing top, included bark", "ratio 0.80", "A is held as lower tier", "Last visit " + first.packet.Day.String(), "A now:", "B now:"} {
		if !strings.Contains(card, want) {
			t.Errorf("the second card does not say %q:\n%s", want, card)
		}
	}
	nestFound(t, p, &second)
}

// carriesBoth looks for what the first visit left.
func carriesBoth(t *testing.T, where, text string) {
	t.Helper()
	for _, want := range []string{"A (competing top", "B (temporary branch", "hold it as lower tier"} {
		if !strings.Contains(text, want) {
			t.Errorf("%s does not say %q:\n%s", where, want, text)
		}
	}
}

// nestFound reports the second visit as not done, a nest in the crown: it is
// held with its reason through the next due passes, no packet takes it, and
// after the recheck date it is due again.
func nestFound(t *testing.T, p *program, o *outing) {
	t.Helper()
	rec := recordOfStop(p, &o.packet, o.stop)
	rec.ID, rec.Outcome, rec.CouldNot = uuid.NewString(), scheduler.OutcomeNotDone, scheduler.NestFound
	if _, a := p.record(rec); len(a.Closed) != 0 {
		t.Errorf("work that was not done closed %v", a.Closed)
	}
	state := func() string {
		return p.query("SELECT state || '|' || hold || '|' || coalesce(hold_until::text, '') FROM visit WHERE id = $1 AND progress = 'open'", o.stop.VisitID)[0]
	}
	p.day(scheduler.DateOf(p.clock).AddDays(1))
	p.ok("due")
	held := strings.Split(state(), "|")
	if held[0] != "held" || !strings.Contains(held[1], "nest") || held[2] == "" {
		t.Fatalf("after a due pass the visit is %q", held)
	}
	t.Logf("held: %s, until %s", held[1], held[2])
	p.ok("packets", "build", "--from", scheduler.DateOf(p.clock).String(), "--days", "5")
	p.none("held visits in a live packet", "SELECT s.id::text FROM stop s JOIN visit v ON v.id = s.visit_id WHERE s.live AND v.state = 'held'")
	until, err := scheduler.ParseDate(held[2])
	if err != nil {
		t.Fatal(err)
	}
	p.day(until)
	p.ok("due")
	if s := state(); strings.HasPrefix(s, "held") {
		t.Errorf("on the recheck date the visit is still %q", s)
	}
}
