package db

import (
	"context"
	"slices"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

// A record finishes the stop of the visit that it names, in the packet it names
// or in the live one. A completed visit is done in every live packet: nobody is
// sent to a tree that is finished. The first finished stop starts an issued packet, the last completes it.
//
// Visits are locked before packets and packets before their stops, by
// everybody: so no two writers wait for each other.
const (
	visitsTakeSQL  = `SELECT v.id FROM visit v WHERE v.id = ANY ($1) ORDER BY v.id FOR NO KEY UPDATE`
	packetsTakeSQL = `
SELECT p.id FROM packet p WHERE p.id IN (SELECT s.packet_id FROM stop s WHERE s.visit_id = ANY ($1)) ORDER BY p.id FOR NO KEY UPDATE`
	stopsOfVisitSQL = `
SELECT s.id, s.packet_id, p.day, s.state, s.live FROM stop s JOIN packet p ON p.id = s.packet_id WHERE s.visit_id = $1 ORDER BY s.id`
	stopFinishSQL = `UPDATE stop SET state = $2 WHERE id = $1`
	stopsDoneSQL  = `
UPDATE stop SET state = 'done' WHERE visit_id = ANY ($1) AND state = 'planned' AND live RETURNING packet_id`
	packetProgressSQL = `
UPDATE packet p SET revision = p.revision + 1, state = CASE
    WHEN p.state IN ('issued', 'started') AND NOT EXISTS (
        SELECT FROM stop s WHERE s.packet_id = p.id AND s.kind = 'tree' AND s.state = 'planned') THEN 'completed'::packet_state
    WHEN p.state = 'issued' THEN 'started'
    ELSE p.state END
WHERE p.id = ANY ($1)`
)

// lockWork locks the visits that the record is about and the packets that hold them.
func (w *recordWrite) lockWork(ctx context.Context) error {
	visits := w.out.Closes
	if v := w.in.Record.VisitID; v != 0 && !slices.Contains(visits, v) {
		visits = append(slices.Clip(visits), v)
	}
	if len(visits) == 0 {
		return nil
	}
	if _, err := w.tx.Exec(ctx, visitsTakeSQL, visits); err != nil {
		return failed("lock visits", err)
	}
	_, err := w.tx.Exec(ctx, packetsTakeSQL, visits)
	return failed("lock packets", err)
}

func (w *recordWrite) finishStops(ctx context.Context) error {
	packets, err := w.stopsNamed(ctx)
	if err != nil {
		return err
	}
	if len(w.out.Closes) > 0 {
		rows, err := w.tx.Query(ctx, stopsDoneSQL, w.out.Closes)
		if err != nil {
			return failed("finish stops", err)
		}
		others, err := pgx.CollectRows(rows, pgx.RowTo[int64])
		if err != nil {
			return failed("finish stops", err)
		}
		packets = append(packets, others...)
	}
	if len(packets) == 0 {
		return nil
	}
	_, err = w.tx.Exec(ctx, packetProgressSQL, packets)
	return failed("move packets on", err)
}

// stopsNamed moves the stops of the visit that the record names, and returns
// the packets of those that changed.
func (w *recordWrite) stopsNamed(ctx context.Context) ([]int64, error) {
	if w.in.Record.VisitID == 0 {
		return nil, nil
	}
	rows, err := w.tx.Query(ctx, stopsOfVisitSQL, w.in.Record.VisitID)
	if err != nil {
		return nil, failed("read stops", err)
	}
	stops, err := pgx.CollectRows(rows, pgx.RowToStructByPos[scheduler.StopAt])
	if err != nil {
		return nil, failed("read stops", err)
	}
	var packets []int64
	for i := range stops {
		s := &stops[i]
		if state := w.in.StopState(s); state != s.State {
			if _, err := w.tx.Exec(ctx, stopFinishSQL, s.ID, state); err != nil {
				return nil, failed("finish stop", err)
			}
			packets = append(packets, s.PacketID)
		}
	}
	return packets, nil
}
