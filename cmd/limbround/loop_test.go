package main

import (
	"os"
	"os/exec"
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

// Dover, Delaware, in the public extract that comes with the OSM library.
const (
	doverAround = "-75.524,39.158"
	doverBox    = "-75.545,39.142,-75.503,39.174"
)

// extract finds the file in the library's module.
func extract(t *testing.T) string {
	t.Helper()
	dir, err := exec.CommandContext(t.Context(), "go", "list", "-m", "-f", "{{.Dir}}", "github.com/paulmach/osm").Output()
	if err != nil {
		t.Fatalf("find the module of the OSM library: %v", err)
	}
	file := filepath.Join(strings.TrimSpace(string(dir)), "testdata", "delaware-latest.osm.pbf")
	if _, err := os.Stat(file); err != nil {
		t.Fatal(err)
	}
	return file
}

// makeDover invents trees on the real streets of the window.
func makeDover(t *testing.T, p *program, trees int) jobs.CityMakeResult {
	t.Helper()
	var made jobs.CityMakeResult
	p.json(&made, "city", "make", "--streets", extract(t), "--around="+doverAround, "--radius", "1500",
		"--trees", strconv.Itoa(trees), "--as-of", "2026-09-01", "--out", t.TempDir())
	t.Logf("city: %v, %d street rows skipped, EPSG:%d", made.Counts, made.Skipped, made.SRID)
	if made.Trees != int64(trees) || made.Counts["streets"] < 100 || made.SRID != 32618 {
		t.Fatalf("city make: %+v", made)
	}
	return made
}

// TestLoopOnRealStreets carries 2,000 trees through the whole loop, and at
// each step holds the sums: nothing is lost on the way and nothing twice.
func TestLoopOnRealStreets(t *testing.T) {
	p := newProgram(t, 2026, 12, 1)
	made := makeDover(t, p, 2000)
	for _, layer := range layerOrder() {
		if r := p.load(layer, layerFile(t, made.Out, layer)); r.Read != made.Counts[layer] || r.Rejected != 0 {
			t.Errorf("%s: %d rows written, %d read, %d rejected: %v", layer, made.Counts[layer], r.Read, r.Rejected, r.Faults)
		}
	}
	due := loopDue(p)
	loopOverdue(p, &due)
	monday := scheduler.NewDate(2026, 12, 7)
	plan := loopPlan(p, 2026)
	loopPlan(p, 2027)
	loopPack(p, plan, monday)
	loopRecord(p, monday)
}

func loopDue(p *program) jobs.DueResult {
	var due, again jobs.DueResult
	p.json(&due, "due")
	p.t.Logf("due: %d trees, %d visits, %d due, %d overdue; by state %v, by kind %v", due.Trees, due.Visits, due.Due, due.Overdue, due.ByState, due.ByKind)
	p.none("standing trees without an open visit", `
SELECT ref FROM tree t WHERE state IN ('alive', 'dead', 'stump')
AND NOT EXISTS (SELECT FROM visit v WHERE v.tree_id = t.id AND v.progress = 'open')`)
	p.none("open visits without a reason", `SELECT id::text FROM visit WHERE progress = 'open' AND jsonb_array_length(detail -> 'reasons') = 0`)
	if open := p.number("SELECT count(*) FROM visit WHERE progress = 'open'"); open != due.Visits || open < due.Trees {
		p.t.Errorf("due answers %d visits of %d trees, the database has %d open ones", due.Visits, due.Trees, open)
	}
	if n := p.number("SELECT count(*) FROM tree"); n != due.Trees {
		p.t.Errorf("due saw %d trees, the inventory has %d", due.Trees, n)
	}
	byState, byKind := 0, 0
	for _, n := range due.ByState {
		byState += n
	}
	for _, n := range due.ByKind {
		byKind += n
	}
	if byState != due.Visits || byKind != due.Visits || due.Due == 0 {
		p.t.Errorf("%d visits, %d by state, %d by kind, %d due", due.Visits, byState, byKind, due.Due)
	}
	before := p.dump("audit", "due_run", "overdue_night")
	p.json(&again, "due", "--full")
	sameRows(p.t, "a second due pass on the same day", before, p.dump("audit", "due_run", "overdue_night"))
	return due
}

func loopOverdue(p *program, due *jobs.DueResult) {
	var o scheduler.OverdueTable
	p.json(&o, "overdue")
	trees, late := 0, 0
	states := map[scheduler.VisitState]int{}
	for _, r := range o.Rows {
		trees += r.Trees
		late += r.Late
		for s, n := range r.Visits {
			states[s] += n
		}
	}
	p.t.Logf("overdue: %d districts, %d trees, %d late", len(o.Rows), trees, late)
	standing := p.number("SELECT count(*) FROM tree WHERE state IN ('alive', 'dead', 'stump')")
	if trees != o.Total.Trees || late != o.Total.Late || trees != standing {
		p.t.Errorf("overdue: rows have %d trees and %d late, the total %d and %d; %d trees stand", trees, late, o.Total.Trees, o.Total.Late, standing)
	}
	for s, n := range due.ByState {
		if s != scheduler.Upcoming && states[s] != n {
			p.t.Errorf("overdue: %d visits are %s, due counted %d", states[s], s, n)
		}
	}
}

// loopPlan makes and adopts the plan of a year and answers its number.
func loopPlan(p *program, year int) int64 {
	var plan jobs.PlanResult
	p.json(&plan, "year", "plan", "--year", strconv.Itoa(year))
	p.t.Logf("year plan %d: %d planned, %d carried over %v; %.0f of %.0f h", year, plan.Planned, plan.Carried, plan.Reasons, plan.Hours, plan.Available)
	carried := 0
	for why, n := range plan.Reasons {
		if carried += n; why == "" {
			p.t.Errorf("%d visits are carried over without a reason", n)
		}
	}
	lines := p.number("SELECT count(*) FROM plan_line WHERE plan_id = $1", plan.Plan)
	if plan.Planned == 0 || carried != plan.Carried || lines != plan.Planned+plan.Carried {
		p.t.Errorf("plan %d: %d planned, %d carried over (%d by reason), %d lines", year, plan.Planned, plan.Carried, carried, lines)
	}
	p.none("due visits that the plan neither has nor carries over", `
SELECT v.id::text FROM visit v WHERE progress = 'open' AND state <> 'not_ours' AND (due IS NULL OR due <= $2)
AND NOT EXISTS (SELECT FROM plan_line l WHERE l.plan_id = $1 AND l.visit_id = v.id)`, plan.Plan, strconv.Itoa(year)+"-12-31")
	p.ok("year", "adopt", strconv.FormatInt(plan.Plan, 10))
	return plan.Plan
}

func loopPack(p *program, plan int64, monday scheduler.Date) {
	var pack jobs.PackResult
	p.json(&pack, "packets", "build", "--from", monday.String(), "--days", "5")
	why := map[string]int{}
	left := map[string]bool{}
	for _, u := range pack.Unserved {
		why[scheduler.Gist(u.Reason)]++
		left[strconv.FormatInt(u.VisitID, 10)] = true
	}
	p.t.Logf("packets: %d packets, %d trees, %d left out %v; paid %d min of which %+v; bound %d", pack.Packets, pack.Stops, len(pack.Unserved), why, pack.Minutes.Paid(), pack.Minutes, pack.Bound)
	for reason, n := range why {
		if strings.Contains(reason, "dump") || strings.Contains(reason, "not reachable") {
			p.t.Errorf("an invented city has a way and a dump for everything, yet %d visits: %s", n, reason)
		}
	}
	if pack.Packets == 0 || pack.Plan != plan || why[""] > 0 || pack.Bound > pack.Minutes.Paid() || len(left) != len(pack.Unserved) {
		p.t.Errorf("packets: %+v", pack)
	}
	stops := p.query("SELECT visit_id::text FROM stop WHERE live AND kind = 'tree'")
	if len(stops) != pack.Stops {
		p.t.Errorf("%d stops stored, %d answered", len(stops), pack.Stops)
	}
	for _, v := range p.query("SELECT visit_id::text FROM plan_line WHERE plan_id = $1 AND week = $2", plan, monday) {
		if slices.Contains(stops, v) == left[v] {
			p.t.Errorf("planned visit %s: in a packet is %v, left out is %v", v, slices.Contains(stops, v), left[v])
		}
	}
	p.none("visits in two live packets", "SELECT visit_id::text FROM stop WHERE live AND kind = 'tree' GROUP BY visit_id HAVING count(*) > 1")
	p.none("packets longer than the shift", "SELECT k.id::text FROM packet k JOIN crew c ON c.id = k.crew_id WHERE yard_min + drive_min + setup_min + work_min + dump_min + break_min + slack_min <> c.shift_minutes OR slack_min < 0")
}

// loopRecord issues and prints the first packet that its crew may take, and
// records its first tree on the day.
func loopRecord(p *program, monday scheduler.Date) {
	var list []scheduler.Packet
	p.json(&list, "packets", "list", "--from", monday.String())
	i := slices.IndexFunc(list, func(k scheduler.Packet) bool {
		code, _, _ := p.run("packets", "issue", strconv.FormatInt(k.ID, 10))
		return code == exitOK
	})
	if i < 0 {
		p.t.Fatalf("none of %d packets can be issued", len(list))
	}
	packet := list[i]
	page := p.ok("packets", "print", strconv.FormatInt(packet.ID, 10))
	trees := slices.DeleteFunc(slices.Clone(packet.Stops), func(s scheduler.Stop) bool { return s.Kind != scheduler.StopTree })
	if cards := strings.Count(page, `<article class="card">`); cards != len(trees) || strings.Contains(page, "DRAFT") {
		p.t.Errorf("packet %d prints %d cards for %d trees", packet.ID, cards, len(trees))
	}
	loopAgain(p, monday, packet.ID)
	p.day(packet.Day)
	rec := recordOfStop(p, &packet, trees[0])
	var res jobs.RecordResult
	p.json(&res, "record", "add", writeJSON(p.t, rec))
	if res.Taken != 1 || res.Refused != 0 || !slices.Contains(res.Answers[0].Answer.Closed, rec.VisitID) || len(res.Answers[0].Answer.Next) == 0 {
		p.t.Fatalf("record: %+v", res)
	}
	next := res.Answers[0].Answer.Next[0]
	p.t.Logf("record: %d closed, next %s %s", res.Closed, next.Kind, next.Season)
	if got := p.query("SELECT v.progress || ' ' || s.state FROM visit v JOIN stop s ON s.visit_id = v.id WHERE v.id = $1", rec.VisitID); got[0] != "completed done" {
		p.t.Errorf("the recorded visit and its stop are %q", got)
	}
	batch := p.query("SELECT max(id)::text FROM batch WHERE layer = 'trees'")[0]
	if code, _, errOut := p.run("import", "undo", batch); code != exitBadInput || !strings.Contains(errOut, "work record") {
		p.t.Errorf("undo of the trees that were worked on: exit %d, %s", code, errOut)
	}
	p.none("open visits that the answer did not name", "SELECT id::text FROM visit WHERE tree_id = $1 AND progress = 'open' AND NOT id = ANY ($2)", rec.TreeID, visitIDs(res.Answers[0].Answer.Next))
}

// loopAgain builds the week a second time: what is issued stays as it is, and
// nothing is booked twice.
func loopAgain(p *program, monday scheduler.Date, issued int64) {
	const stopsOf = "SELECT s::text FROM stop s WHERE packet_id = $1 ORDER BY seq"
	before := p.query(stopsOf, issued)
	var again jobs.PackResult
	p.json(&again, "packets", "build", "--from", monday.String(), "--days", "5")
	if after := p.query(stopsOf, issued); !slices.Equal(before, after) || slices.Contains(again.IDs, issued) {
		p.t.Errorf("building the week again changed the issued packet %d:\n%v\n%v", issued, before, after)
	}
	p.none("visits in two live packets", "SELECT visit_id::text FROM stop WHERE live AND kind = 'tree' GROUP BY visit_id HAVING count(*) > 1")
	p.none("crews with two live packets on a day", "SELECT crew_id::text FROM packet WHERE state <> 'recalled' GROUP BY crew_id, day HAVING count(*) > 1")
}

func visitIDs(list []scheduler.Visit) []int64 {
	ids := make([]int64, len(list))
	for i := range list {
		ids[i] = list[i].ID
	}
	return ids
}

// recordOfStop is a plain "done as planned" of a stop, half an hour before now.
func recordOfStop(p *program, packet *scheduler.Packet, stop scheduler.Stop) scheduler.WorkRecord {
	p.t.Helper()
	finish := p.clock.Add(-30 * time.Minute)
	rec := scheduler.WorkRecord{
		ID: uuid.NewString(), VisitID: stop.VisitID, TreeID: int64(p.number("SELECT tree_id FROM visit WHERE id = $1", stop.VisitID)),
		PacketID: packet.ID, CrewID: packet.CrewID, By: "A. Crewleader", Start: finish.Add(-15 * time.Minute), Finish: finish, Outcome: scheduler.OutcomeDone,
	}
	for _, k := range p.query("SELECT unnest(kinds)::text FROM visit WHERE id = $1", stop.VisitID) {
		rec.Kinds = append(rec.Kinds, scheduler.WorkKind(k))
	}
	return rec
}
