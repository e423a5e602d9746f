package db_test

import (
	"context"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"limbround/db"
	"limbround/db/dbtest"
	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

// soundCity is a small city after a few weeks of ordinary use: imports, one of
// them taken back, a nightly run, plans, packets and records of every outcome.
func soundCity(t *testing.T) *pgx.Conn {
	t.Helper()
	ctx, url := t.Context(), dbtest.URL(t)
	d, err := db.Open(ctx, db.Config{URL: url, MaxConns: 8})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = d.Close() })
	c := &citizen{t: t, ctx: ctx, d: d, now: func() time.Time { return time.Date(2026, 11, 25, 9, 0, 0, 0, time.UTC) }}
	c.by = scheduler.Stamp{Actor: "tester", At: c.now()}
	c.imports(t.TempDir())
	c.must(d.EnqueueOnce(ctx, "due", scheduler.NewDate(2026, 11, 25), c.now(), jobs.DueArgs{AsOf: scheduler.NewDate(2026, 11, 25), Actor: "schedule"}))
	c.must(jobs.Due{Store: d, Now: c.now}.Run(ctx, jobs.DueRequest{Actor: "schedule"}))
	for range 2 {
		c.must(jobs.Plan{Store: d, Now: c.now}.Run(ctx, jobs.PlanRequest{Year: 2026, Actor: "tester"}))
	}
	plan, err := d.PlanInForce(ctx, 2026)
	c.must(nil, err)
	c.must(nil, d.AdoptPlan(ctx, plan.ID, plan.Revision, c.by))
	for range 2 { // the second time the drafts are built again
		c.must(jobs.Pack{Store: d, Now: c.now}.Run(ctx, jobs.PackRequest{From: scheduler.NewDate(2026, 11, 30), Days: 2, Replace: true, Iterations: 200, Actor: "tester"}))
	}
	c.records()
	conn, err := pgx.Connect(ctx, url)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = conn.Close(context.WithoutCancel(ctx)) })
	// The job was made to be seen by the rules; nobody works it off here.
	if _, err := conn.Exec(ctx, `UPDATE river_job SET state = 'completed', finalized_at = now()`); err != nil {
		t.Fatal(err)
	}
	return conn
}

type citizen struct {
	t   *testing.T
	ctx context.Context
	d   *db.DB
	now func() time.Time
	by  scheduler.Stamp
}

// must fails the test when a step does; the result does not matter.
func (c *citizen) must(_ any, err error) {
	c.t.Helper()
	if err != nil {
		c.t.Fatal(err)
	}
}

func (c *citizen) imports(dir string) {
	c.t.Helper()
	c.must(jobs.CityMake{Now: c.now}.Run(c.ctx, jobs.CityMakeRequest{Trees: 200, Seed: 5, AsOf: scheduler.NewDate(2026, 9, 1), Out: dir}))
	var signs int64
	for _, l := range scheduler.Layers() {
		file, err := filepath.Glob(filepath.Join(dir, l.Name+".*"))
		if err != nil || len(file) != 1 {
			c.t.Fatalf("%s: %v, %v", l.Name, file, err)
		}
		res, err := jobs.Import{Store: c.d, Now: c.now}.Run(c.ctx, jobs.ImportRequest{Layer: l.Name, Path: file[0], Actor: "tester"})
		c.must(nil, err)
		if l.Name == "signs" {
			signs = res.Batch
		}
	}
	c.must(jobs.ImportUndo{Store: c.d, Now: c.now}.Run(c.ctx, jobs.ImportUndoRequest{Batch: signs, Actor: "tester"}))
}

// records issues a packet and writes one record down for each of its trees.
func (c *citizen) records() {
	c.t.Helper()
	list, err := c.d.PacketList(c.ctx, scheduler.NewDate(2026, 11, 30), scheduler.NewDate(2026, 12, 1), false)
	c.must(nil, err)
	issued := 0
	for _, p := range list {
		p, err := c.d.SetPacketState(c.ctx, p.ID, p.Revision, scheduler.PacketIssued, c.by)
		if scheduler.KindOf(err) == scheduler.Clash { // an expired ticket
			continue
		}
		c.must(nil, err)
		if issued++; issued > 1 {
			return // the second stays as it was issued
		}
		for i := range p.Stops {
			if p.Stops[i].VisitID != 0 && i < len(p.Stops)-2 {
				c.record(&p, p.Stops[i].VisitID, i)
			}
		}
	}
}

func (c *citizen) record(p *scheduler.Packet, visit int64, i int) {
	c.t.Helper()
	v, err := c.d.Visit(c.ctx, visit)
	c.must(nil, err)
	finish := c.now().Add(-time.Duration(i) * time.Hour)
	r := scheduler.WorkRecord{
		ID: fmt.Sprintf("00000000-0000-4000-8000-%012d", i+1), TreeID: v.TreeID, VisitID: visit, PacketID: p.ID, CrewID: p.CrewID, By: "A. Leader",
		Start: finish.Add(-20 * time.Minute), Finish: finish, Kinds: v.Kinds, Outcome: scheduler.OutcomeDone, LiveCrown: 5, DBH: 200, BaseRoad: 2600,
	}
	switch i % 3 {
	case 1:
		r.Outcome, r.CouldNot, r.LiveCrown = scheduler.OutcomeNotDone, scheduler.CarInTheWay, 0
	case 2:
		r.Outcome = scheduler.OutcomePart
		r.Hazard = &scheduler.Hazard{What: "hanging branch", Class: 1, CalledTo: "duty desk", At: finish}
	}
	for _, what := range []string{"competing leader", "low branch"} {
		r.Watch = append(r.Watch, scheduler.WatchFinding{What: what, Diameter: 30, StemDiameter: 60, Intent: scheduler.RemoveLater})
	}
	res, err := jobs.Record{Store: c.d, Now: c.now}.Run(c.ctx, jobs.RecordRequest{Records: []scheduler.WorkRecord{r}, Actor: "tester"})
	c.must(nil, err)
	if res.Taken != 1 {
		c.t.Fatalf("the record of visit %d: %+v", visit, res.Answers)
	}
}
