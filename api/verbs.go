package api

import (
	"context"

	"limbround/scheduler"
	"limbround/scheduler/crewday/sheet"
	"limbround/scheduler/jobs"
)

// Verbs are the acts that the routes ask for and that take more than a read:
// cmd builds them from package jobs.
type Verbs struct {
	// Calendar lists the trips that the rules foresee for one tree.
	Calendar func(ctx context.Context, tree int64, years int) ([]scheduler.Visit, error)
	// Overdue is the analyst's table by district, of a past night when one is given.
	Overdue func(ctx context.Context, night scheduler.Date) (scheduler.OverdueTable, error)
	// Growth projects one tree by the published curves.
	Growth func(ctx context.Context, q jobs.GrowthRequest) (jobs.GrowthResult, error)
	// PreviewPolicy says what adopting a policy would move.
	PreviewPolicy func(ctx context.Context, p scheduler.Policy) (scheduler.PolicyPreview, error)
	// AddDeviation writes the manager's own entry into the log of departures.
	AddDeviation func(ctx context.Context, q jobs.DeviationRequest) (scheduler.Deviation, error)
	// Advise answers about one branch.
	Advise func(ctx context.Context, q jobs.AdviseRequest) (jobs.AdviseResult, error)
	// EditPacket changes one stop of a packet seen at a revision.
	EditPacket func(ctx context.Context, packet int64, revision int, stop int64, e scheduler.StopEdit, by scheduler.Stamp) (scheduler.Packet, error)
	// Sheet gathers what is printed for one packet; cards is the address prefix of its codes.
	Sheet func(ctx context.Context, packet int64, cards string) (sheet.Packet, error)
	// Record takes one work record and answers with the tree's next visits.
	Record func(ctx context.Context, r scheduler.WorkRecord, by scheduler.Stamp) (scheduler.RecordAnswer, error)
}
