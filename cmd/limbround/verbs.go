package main

import (
	"context"
	"log/slog"

	"limbround/api"
	"limbround/db"
	"limbround/scheduler"
	"limbround/scheduler/crewday/sheet"
	"limbround/scheduler/jobs"
)

// verbs wires the acts that the routes ask for to the store.
func (a *app) verbs(d *db.DB) api.Verbs {
	return api.Verbs{
		Calendar: func(ctx context.Context, tree int64, years int) ([]scheduler.Visit, error) {
			t, err := d.Tree(ctx, tree)
			if err != nil {
				return nil, err
			}
			res, err := jobs.Calendar{Store: d, Now: a.now}.Run(ctx, jobs.CalendarRequest{Tree: t.Tree.Ref, Years: years})
			return res.Visits, err
		},
		Overdue: func(ctx context.Context) (scheduler.OverdueTable, error) { return jobs.Overdue{Store: d}.Run(ctx) },
		Growth: func(ctx context.Context, q jobs.GrowthRequest) (jobs.GrowthResult, error) {
			species, err := d.Species(ctx)
			if err != nil {
				return jobs.GrowthResult{}, err
			}
			return jobs.Growth(q, species)
		},
		EditPacket: func(ctx context.Context, packet int64, revision int, stop int64, e scheduler.StopEdit, by scheduler.Stamp) (scheduler.Packet, error) {
			return jobs.EditPacket{Store: d, Now: a.now}.Run(ctx, jobs.EditRequest{Packet: packet, Revision: revision, Stop: stop, Edit: e, By: by})
		},
		Sheet: func(ctx context.Context, packet int64, cards string) (sheet.Packet, error) {
			return jobs.Sheet{Store: d, Now: a.now}.Run(ctx, packet, cards)
		},
		Record: func(ctx context.Context, r scheduler.WorkRecord, by scheduler.Stamp) (scheduler.RecordAnswer, error) {
			return a.record(ctx, d, r, by)
		},
	}
}

// funcs are what this process does for each kind of background job.
func (a *app) funcs(d *db.DB, log *slog.Logger) jobs.Funcs {
	report := func(ctx context.Context, kind string, result any, err error) error {
		if err != nil {
			log.Error("job failed", "kind", kind, "err", err)
			return err
		}
		return jobs.Report(ctx, result)
	}
	return jobs.Funcs{
		Due: func(ctx context.Context, q jobs.DueArgs) error {
			res, err := jobs.Due{Store: d, Now: a.now}.Run(ctx, jobs.DueRequest{AsOf: q.AsOf, Actor: q.Actor})
			return report(ctx, q.Kind(), res, err)
		},
		Plan: func(ctx context.Context, q jobs.PlanArgs) error {
			res, err := jobs.Plan{Store: d, Now: a.now}.Run(ctx, jobs.PlanRequest(q))
			return report(ctx, q.Kind(), res, err)
		},
		Packets: func(ctx context.Context, q jobs.PacketsArgs) error {
			res, err := jobs.Pack{Store: d, Now: a.now}.Run(ctx, jobs.PackRequest{From: q.From, Days: q.Days, Replace: true, Actor: q.Actor})
			return report(ctx, q.Kind(), res, err)
		},
	}
}

// record takes one record and answers it alone: the error of a refused one
// names the rules that it breaks.
func (a *app) record(ctx context.Context, d *db.DB, r scheduler.WorkRecord, by scheduler.Stamp) (scheduler.RecordAnswer, error) {
	res, err := jobs.Record{Store: d, Now: a.now}.Run(ctx, jobs.RecordRequest{Records: []scheduler.WorkRecord{r}, Actor: by.Actor})
	if err != nil {
		return scheduler.RecordAnswer{}, err
	}
	reply := res.Answers[0]
	if reply.Answer == nil {
		return scheduler.RecordAnswer{}, &scheduler.Error{Kind: reply.Kind, Message: reply.Error, Hint: reply.Hint, Fields: reply.Faults}
	}
	return *reply.Answer, nil
}
