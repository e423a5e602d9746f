package api

import (
	"context"

	"limbround/scheduler"
)

// Store is what the routes read and edit, one small interface for each noun.
// The database satisfies all of them.
type Store interface {
	CityStore
	TreeStore
	VisitStore
	RuleStore
	PlanStore
	PacketStore
	RecordStore
	GroundStore
	JobStore
	ReminderStore
	DeviationStore
}

// CityStore holds the settings of the city.
type CityStore interface {
	City(ctx context.Context) (scheduler.City, error)
	SetCity(ctx context.Context, c scheduler.City, by scheduler.Stamp) error
}

// TreeStore reads trees with their sites.
type TreeStore interface {
	Tree(ctx context.Context, id int64) (scheduler.TreeSite, error)
	TreeByRef(ctx context.Context, ref string) (scheduler.TreeSite, error)
	TreeList(ctx context.Context, f scheduler.TreeFilter, after int64, limit int) ([]scheduler.TreeSite, int, error)
}

// VisitStore reads visits and the overdue table.
type VisitStore interface {
	Visit(ctx context.Context, id int64) (scheduler.Visit, error)
	VisitsOfTree(ctx context.Context, tree int64, all bool) ([]scheduler.Visit, error)
	VisitList(ctx context.Context, f scheduler.VisitFilter, after int64, limit int) ([]scheduler.Visit, int, error)
	OverdueNights(ctx context.Context) ([]scheduler.OverdueNight, error)
}

// RuleStore reads policies and species.
type RuleStore interface {
	CurrentPolicy(ctx context.Context, on scheduler.Date) (scheduler.Policy, error)
	ListPolicies(ctx context.Context) ([]scheduler.Policy, error)
	AddPolicy(ctx context.Context, source []byte, p scheduler.Policy, by scheduler.Stamp) (int64, error)
	Species(ctx context.Context) ([]scheduler.Species, error)
}

// JobStore queues background work and tells what became of it.
type JobStore interface {
	Enqueue(ctx context.Context, args scheduler.JobArgs) (int64, error)
	JobStatus(ctx context.Context, id int64) (scheduler.JobStatus, error)
	// JobList is newest first: before is the id to read on from, 0 to begin.
	JobList(ctx context.Context, state string, before int64, limit int) ([]scheduler.JobStatus, int, error)
	CancelJob(ctx context.Context, id int64, by scheduler.Stamp) (scheduler.JobStatus, error)
}

// ReminderStore holds what somebody must see to by a day.
type ReminderStore interface {
	ReminderList(ctx context.Context, state scheduler.ReminderState, after int64, limit int) ([]scheduler.Reminder, int, error)
	ReminderDone(ctx context.Context, id int64, on scheduler.Date, note string, by scheduler.Stamp) (scheduler.Reminder, error)
}

// PlanStore holds the annual plans.
type PlanStore interface {
	Plan(ctx context.Context, id int64) (scheduler.Plan, error)
	PlanList(ctx context.Context, year int) ([]scheduler.Plan, error)
	AdoptPlan(ctx context.Context, id int64, revision int, by scheduler.Stamp) error
}

// PacketStore holds the crew-day packets.
type PacketStore interface {
	Packet(ctx context.Context, id int64) (scheduler.Packet, error)
	PacketList(ctx context.Context, from, to scheduler.Date, recalled bool) ([]scheduler.Packet, error)
	SetPacketState(ctx context.Context, id int64, revision int, to scheduler.PacketState, by scheduler.Stamp) (scheduler.Packet, error)
}

// RecordStore reads a tree's past.
type RecordStore interface {
	RecordsOfTree(ctx context.Context, tree int64) ([]scheduler.WorkEntry, error)
	MeasurementsOfTree(ctx context.Context, tree int64) ([]scheduler.Measurement, error)
}

// GroundStore reads districts, crews and the batches that brought the layers in.
type GroundStore interface {
	Crews(ctx context.Context) ([]scheduler.Crew, error)
	Outlines(ctx context.Context) ([]scheduler.Outline, error)
	Dumps(ctx context.Context) ([]scheduler.Dump, error)
	ListBatches(ctx context.Context) ([]scheduler.Batch, error)
	Batch(ctx context.Context, id int64) (scheduler.Batch, error)
	UndoBatch(ctx context.Context, batch int64, by scheduler.Stamp) (scheduler.UndoResult, error)
}
