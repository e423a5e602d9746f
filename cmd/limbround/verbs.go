package main

import (
	"context"

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
		Overdue: func(ctx context.Context, night scheduler.Date) (scheduler.OverdueTable, error) {
			return jobs.Overdue{Store: d}.Run(ctx, night)
		},
		Growth: func(ctx context.Context, q jobs.GrowthRequest) (jobs.GrowthResult, error) {
			species, err := d.Species(ctx)
			if err != nil {
				return jobs.GrowthResult{}, err
			}
			today, err := jobs.Today(ctx, d, a.now())
			if err != nil {
				return jobs.GrowthResult{}, err
			}
			p, err := d.CurrentPolicy(ctx, today)
			if err != nil && scheduler.KindOf(err) != scheduler.NotFound {
				return jobs.GrowthResult{}, err
			}
			if p.Region == q.Region { // another region's tree is not of this city
				q.Rules = p.Growth
			}
			return jobs.Growth(q, species)
		},
		PreviewPolicy: func(ctx context.Context, p scheduler.Policy) (scheduler.PolicyPreview, error) {
			return jobs.PolicyPreview{Store: d, Now: a.now}.Run(ctx, p, 0)
		},
		AddDeviation: func(ctx context.Context, q jobs.DeviationRequest) (scheduler.Deviation, error) {
			return jobs.AddDeviation{Store: d, Now: a.now}.Run(ctx, q)
		},
		Advise: func(ctx context.Context, q jobs.AdviseRequest) (jobs.AdviseResult, error) {
			return jobs.Advise{Store: d, Now: a.now}.Run(ctx, q)
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
func (a *app) funcs(d *db.DB) jobs.Funcs {
	return jobs.Funcs{
		Due: func(ctx context.Context, q jobs.DueArgs, tell jobs.Tell) error {
			res, err := jobs.Due{Store: d, Now: a.now, Progress: func(trees int) { tell(int64(trees), 0, "trees") }}.
				Run(ctx, jobs.DueRequest{AsOf: q.AsOf, Full: q.Full, Actor: q.Actor})
			return reported(ctx, res, err)
		},
		Plan: func(ctx context.Context, q jobs.PlanArgs, tell jobs.Tell) error {
			res, err := jobs.Plan{Store: d, Now: a.now, Progress: tell}.Run(ctx, jobs.PlanRequest(q))
			return reported(ctx, res, err)
		},
		Packets: func(ctx context.Context, q jobs.PacketsArgs, tell jobs.Tell) error {
			res, err := jobs.Pack{Store: d, Now: a.now, Progress: tell}.
				Run(ctx, jobs.PackRequest{From: q.From, Days: q.Days, Replace: true, Actor: q.Actor})
			return reported(ctx, res, err)
		},
		WeekDraft: func(ctx context.Context, q jobs.WeekDraftArgs, tell jobs.Tell) error {
			res, err := jobs.WeekDraft{Store: d, Now: a.now, Progress: tell}.Run(ctx, jobs.WeekDraftRequest(q))
			return reported(ctx, res, err)
		},
		Remind: func(ctx context.Context, q jobs.RemindArgs, _ jobs.Tell) error {
			res, err := jobs.Remind{Store: d, Now: a.now}.Run(ctx, jobs.RemindRequest(q))
			return reported(ctx, res, err)
		},
		ImportApply: func(ctx context.Context, q jobs.ImportApplyArgs, tell jobs.Tell) error {
			res, err := jobs.ImportApply{Store: d, Now: a.now, Progress: tell}.Run(ctx, jobs.ImportApplyRequest(q))
			return reported(ctx, res, err)
		},
	}
}

// reported keeps what a job answered, when it succeeded.
func reported(ctx context.Context, result any, err error) error {
	if err != nil {
		return err
	}
	return jobs.Report(ctx, result)
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
