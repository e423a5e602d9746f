package db

import (
	"context"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

// A record finishes the stop of its visit in the packet it names, or else in
// the live one. A completed visit is done in every live packet: nobody is sent to a tree
// that is finished. One that was not done leaves a later packet's stop alone. The first finished stop starts an issued packet, the last completes it.
const (
	stopFinishSQL = `
UPDATE stop s SET state = $3
WHERE s.visit_id = ANY ($1) AND s.state = 'planned' AND (s.packet_id = $2 OR (s.live AND ($4 OR $2 = 0)))
RETURNING s.packet_id`
	packetProgressSQL = `
UPDATE packet p SET revision = p.revision + 1, state = CASE
    WHEN p.state IN ('issued', 'started') AND NOT EXISTS (
        SELECT FROM stop s WHERE s.packet_id = p.id AND s.kind = 'tree' AND s.state = 'planned') THEN 'completed'::packet_state
    WHEN p.state = 'issued' THEN 'started'
    ELSE p.state END
WHERE p.id = ANY ($1)`
)

func (w *recordWrite) finishStops(ctx context.Context) error {
	r := &w.in.Record
	state := map[scheduler.Outcome]scheduler.StopState{
		scheduler.OutcomeDone: scheduler.StopDone, scheduler.OutcomePart: scheduler.StopPart, scheduler.OutcomeNotDone: scheduler.StopNotDone,
	}[r.Outcome]
	visits := w.out.Closes
	if r.VisitID != 0 && r.Outcome != scheduler.OutcomeDone {
		visits = []int64{r.VisitID}
	}
	if len(visits) == 0 {
		return nil
	}
	rows, err := w.tx.Query(ctx, stopFinishSQL, visits, r.PacketID, state, r.Outcome == scheduler.OutcomeDone)
	if err != nil {
		return failed("finish stops", err)
	}
	packets, err := pgx.CollectRows(rows, pgx.RowTo[int64])
	if err != nil {
		return failed("finish stops", err)
	}
	_, err = w.tx.Exec(ctx, packetProgressSQL, packets)
	return failed("move packets on", err)
}
