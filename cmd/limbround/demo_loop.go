package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"github.com/google/uuid"

	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

func (l *loop) importAll(ctx context.Context) error {
	l.step("Import: every row ends accepted, or rejected with its reason")
	for _, layer := range demoLayers {
		file, err := cityFile(l.cmd.Work, layer)
		if err != nil {
			return err
		}
		res, err := jobs.Import{Store: l.db, Now: l.now, Progress: l.progress(layer)}.Run(ctx, jobs.ImportRequest{Layer: layer, Path: file, Actor: l.stamp().Actor})
		if err != nil {
			return fmt.Errorf("import %s: %w", layer, err)
		}
		importText(l.out, &res)
	}
	return nil
}

// cityFile finds the file of a layer, whatever format it was written in.
func cityFile(dir, layer string) (string, error) {
	for _, ext := range []string{".geojson", ".csv"} {
		f := filepath.Join(dir, layer+ext)
		if _, err := os.Stat(f); err == nil {
			return f, nil
		}
	}
	return "", scheduler.Errorf(scheduler.NotFound, "%s: no file of layer %s", dir, layer)
}

func (l *loop) due(ctx context.Context) error {
	l.step("Due visits: windows in seasons, each with its reasons")
	res, err := jobs.Due{Store: l.db, Now: l.now}.Run(ctx, jobs.DueRequest{Actor: l.stamp().Actor})
	if err != nil {
		return err
	}
	dueText(l.out, &res)
	if res.Trees != res.ByState[scheduler.NotOurs] && res.Visits == 0 {
		return scheduler.Errorf(scheduler.Internal, "the rules gave no visit to any of %d trees", res.Trees)
	}
	return nil
}

// plan makes the plan of the year that next Monday's week is in, adopts it if
// the year has none, and returns that Monday.
func (l *loop) plan(ctx context.Context) (scheduler.Date, error) {
	city, err := l.db.City(ctx)
	if err != nil {
		return 0, err
	}
	today, err := l.today(city)
	if err != nil {
		return 0, err
	}
	monday := today.Monday().AddDays(7)
	year := monday.AddDays(3).Year() // a week belongs to the year of its Thursday
	for _, y := range []int{year, year + 1} {
		l.step("Annual plan %d: a week or a reason for each visit", y)
		res, err := jobs.Plan{Store: l.db, Now: l.now}.Run(ctx, jobs.PlanRequest{Year: y, Actor: l.stamp().Actor})
		if err != nil {
			return 0, err
		}
		planText(l.out, &res)
		if y == year {
			p, err := l.db.Plan(ctx, res.Plan)
			if err != nil {
				return 0, err
			}
			if err := l.db.AdoptPlan(ctx, p.ID, p.Revision, l.stamp()); err != nil {
				return 0, err
			}
		}
	}
	return monday, nil
}

// pack builds the week's packets and issues the first of them, which it returns.
func (l *loop) pack(ctx context.Context, monday scheduler.Date) (scheduler.Packet, error) {
	l.step("Crew-day packets for the week of %s", monday)
	res, err := jobs.Pack{Store: l.db, Now: l.now}.Run(ctx, jobs.PackRequest{From: monday, Days: 5, Replace: true, Actor: l.stamp().Actor})
	if err != nil {
		return scheduler.Packet{}, err
	}
	packText(l.out, &res)
	list, err := l.db.PacketList(ctx, monday, monday.AddDays(4), false)
	if err != nil {
		return scheduler.Packet{}, err
	}
	var first scheduler.Packet
	for _, p := range list {
		if p.State != scheduler.PacketDraft || p.Day != list[0].Day {
			continue
		}
		issued, err := l.db.SetPacketState(ctx, p.ID, p.Revision, scheduler.PacketIssued, l.stamp())
		if scheduler.KindOf(err) == scheduler.Clash {
			fmt.Fprintf(l.out, "packet %d cannot be issued: %v\n", p.ID, err)
			continue
		}
		if err != nil {
			return scheduler.Packet{}, err
		}
		fmt.Fprintf(l.out, "packet %d is issued for %s: %d stops, paid %s h\n", issued.ID, issued.Day, len(issued.Stops), hm(issued.Minutes.Paid()))
		if first.ID == 0 {
			first = issued
		}
	}
	if first.ID == 0 { // a run before this one has issued them
		for _, p := range list {
			if p.State == scheduler.PacketIssued || p.State == scheduler.PacketStarted {
				return p, nil
			}
		}
		return first, scheduler.Errorf(scheduler.Infeasible, "no packet of the week can be issued")
	}
	return first, nil
}

// work records one tree of the packet as a crew leader would: done, with one
// stem left to be looked at by the next visit when the work was training.
func (l *loop) work(ctx context.Context, p scheduler.Packet) error {
	v, err := l.pick(ctx, &p)
	if err != nil {
		return err
	}
	t, err := l.db.Tree(ctx, v.TreeID)
	if err != nil {
		return err
	}
	l.step("Work record: %s at %s, and what comes next", t.Tree.Ref, t.Site.Address)
	finish := l.now().UTC().Truncate(time.Second)
	rec := scheduler.WorkRecord{
		ID: uuid.NewString(), VisitID: v.ID, TreeID: v.TreeID, PacketID: p.ID, CrewID: p.CrewID, By: "crew leader of the demo",
		Start: finish.Add(-time.Duration(max(1, v.Minutes)) * time.Minute), Finish: finish, Kinds: v.Kinds, Outcome: scheduler.OutcomeDone,
		LiveCrown: min(10, v.Dose), Cuts: scheduler.CutTally{Under1: 6, OneTwo: 1},
	}
	if v.Kind == scheduler.Training {
		rec.Watch = []scheduler.WatchFinding{{
			What: "competing leader", Height: 2400, Side: scheduler.SideUpStreet, Diameter: 32, StemDiameter: 60, Done: "reduced by half", Reduced: true, Intent: scheduler.RemoveLater,
		}}
	}
	res, err := l.addRecords(ctx, l.db, []scheduler.WorkRecord{rec})
	if err != nil {
		return err
	}
	recordText(l.out, &res)
	if res.Refused > 0 {
		return scheduler.Errorf(scheduler.Internal, "the demo's record was refused")
	}
	return nil
}

// pick takes the packet's first open training visit, else its first open visit.
func (l *loop) pick(ctx context.Context, p *scheduler.Packet) (scheduler.Visit, error) {
	var best scheduler.Visit
	for i := range p.Stops {
		if p.Stops[i].Kind != scheduler.StopTree || p.Stops[i].State != scheduler.StopPlanned {
			continue
		}
		v, err := l.db.Visit(ctx, p.Stops[i].VisitID)
		if err != nil {
			return v, err
		}
		if v.Kind == scheduler.Training {
			return v, nil
		}
		if best.ID == 0 {
			best = v
		}
	}
	if best.ID == 0 {
		return best, scheduler.Errorf(scheduler.Internal, "packet %d has no tree left to work on", p.ID)
	}
	return best, nil
}
