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

	AdoptPlan(ctx context.Context, id int64, revision int, by scheduler.Stamp) error
	Plan(ctx context.Context, id int64) (scheduler.Plan, error)
	Packet(ctx context.Context, id int64) (scheduler.Packet, error)
	SetPacketState(ctx context.Context, id int64, revision int, to scheduler.PacketState, by scheduler.Stamp) (scheduler.Packet, error)
	EditPacket(ctx context.Context, id int64, revision int, decide func(*scheduler.Packet) error, by scheduler.Stamp) (scheduler.Packet, error)
	Visit(ctx context.Context, id int64) (scheduler.Visit, error)
	Tree(ctx context.Context, id int64) (scheduler.TreeSite, error)
	RecordsOfTree(ctx context.Context, tree int64) ([]scheduler.WorkEntry, error)
	MeasurementsOfTree(ctx context.Context, tree int64) ([]scheduler.Measurement, error)
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
		{"overdue adds up", overdueAddsUp},
		{"plan loses nothing", planLosesNothing},
		{"plan is adopted once", planIsAdoptedOnce},
		{"packets are built", packetsAreBuilt},
		{"one live packet", oneLivePacket},
		{"packet life", packetLife},
		{"packet edits", packetEdits},
		{"expired ticket", expiredTicket},
		{"record twice", recordTwice},
		{"record refusals", recordRefusals},
		{"record holds outlive the night", holdsOutliveTheNight},
		{"hazard", hazardOpensAVisit},
		{"late record", lateRecord},
		{"story of a young tree", storyOfAYoungTree},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			c.test(t, newTown(t, open(t)))
		})
	}
}
