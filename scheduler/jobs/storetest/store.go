// Package storetest is the contract of the stores behind the verbs: a suite
// that every store passes. It is for tests only.
package storetest

import (
	"context"
	"testing"

	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

// Store is all that the write path asks of a store.
type Store interface {
	jobs.ImportStore
	jobs.DueStore
	jobs.PlanStore
	jobs.PackStore
	jobs.RecordStore
	jobs.OverdueStore
	jobs.HoldStore
	jobs.ApplyStore
	jobs.UndoStore
	jobs.CronStore
	jobs.PreviewStore
	jobs.DeviationStore

	AddPolicy(ctx context.Context, source []byte, p scheduler.Policy, by scheduler.Stamp) (int64, error)
	AdoptPlan(ctx context.Context, id int64, revision int, by scheduler.Stamp) error
	Plan(ctx context.Context, id int64) (scheduler.Plan, error)
	Packet(ctx context.Context, id int64) (scheduler.Packet, error)
	SetPacketState(ctx context.Context, id int64, revision int, to scheduler.PacketState, by scheduler.Stamp) (scheduler.Packet, error)
	EditPacket(ctx context.Context, id int64, revision int, decide func(*scheduler.Packet) error, by scheduler.Stamp) (scheduler.Packet, error)
	Visit(ctx context.Context, id int64) (scheduler.Visit, error)
	Tree(ctx context.Context, id int64) (scheduler.TreeSite, error)
	RecordsOfTree(ctx context.Context, tree int64) ([]scheduler.WorkEntry, error)
	MeasurementsOfTree(ctx context.Context, tree int64) ([]scheduler.Measurement, error)
	Enqueue(ctx context.Context, args scheduler.JobArgs) (int64, error)
	JobStatus(ctx context.Context, id int64) (scheduler.JobStatus, error)
	JobList(ctx context.Context, state string, before int64, limit int) ([]scheduler.JobStatus, int, error)
	CancelJob(ctx context.Context, id int64, by scheduler.Stamp) (scheduler.JobStatus, error)

	// What the contract looks at to see that nothing else was written.
	Districts(ctx context.Context) ([]scheduler.Area, error)
	Sections(ctx context.Context) ([]scheduler.Area, error)
	TreeList(ctx context.Context, f scheduler.TreeFilter, after int64, limit int) ([]scheduler.TreeSite, int, error)
	PlanList(ctx context.Context, year int) ([]scheduler.Plan, error)
	PacketList(ctx context.Context, from, to scheduler.Date, recalled bool) ([]scheduler.Packet, error)
	ListBatches(ctx context.Context) ([]scheduler.Batch, error)
}

// Run puts a store through the contract. open must answer a fresh store with
// the built-in species and policy, in a city whose clocks run on UTC, and leave it to the test to end.
func Run(t *testing.T, open func(t *testing.T) Store) {
	for _, c := range []struct {
		name string
		test func(*testing.T, *town)
	}{
		{"due pass is idempotent", duePassIsIdempotent},
		{"due pass explains", duePassExplains},
		{"due pass withdraws", duePassWithdraws},
		{"due pass never goes back", duePassNeverGoesBack},
		{"due looks at what changed", dueLooksAtWhatChanged},
		{"policy keeps its start", policyKeepsItsStart},
		{"due follows packets", dueFollowsPackets},
		{"due pass over some", duePassOverSome},
		{"due pass leaves recorded trees", duePassLeavesRecordedTrees},
		{"a preview foretells", previewForetells},
		{"overdue adds up", overdueAddsUp},
		{"nights are kept", nightsAreKept},
		{"plan loses nothing", planLosesNothing},
		{"plan is adopted once", planIsAdoptedOnce},
		{"plan adoption clash", planAdoptionClash},
		{"packets are built", packetsAreBuilt},
		{"one live packet", oneLivePacket},
		{"packet life", packetLife},
		{"packet edits", packetEdits},
		{"packet edit clash", packetEditClash},
		{"expired ticket", expiredTicket},
		{"record twice", recordTwice},
		{"record refusals", recordRefusals},
		{"record holds outlive the night", holdsOutliveTheNight},
		{"hazard", hazardOpensAVisit},
		{"departures are logged", departuresAreLogged},
		{"late record", lateRecord},
		{"records in every order", recordsInEveryOrder},
		{"records take turns", recordsTakeTurns},
		{"record beats edit", recordBeatsEdit},
		{"record rolls back", recordRollsBack},
		{"writes roll back", writesRollBack},
		{"jobs are queued once", jobsAreQueuedOnce},
		{"marks and jobs go together", marksAndJobsGoTogether},
		{"batch verdicts", batchVerdicts},
		{"batch is applied once", batchIsAppliedOnce},
		{"batch spots", batchSpots},
		{"batch facts move forward", batchFactsMoveForward},
		{"sites are reduced", sitesAreReduced},
		{"batch undo", batchUndo},
		{"batch undo is refused", batchUndoIsRefused},
		{"story of a young tree", storyOfAYoungTree},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			c.test(t, newTown(t, open(t)))
		})
	}
}
