package db

import (
	"context"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

const (
	packetByIDSQL = `
SELECT id, day, crew_id, state, yard_min, drive_min, setup_min, work_min, dump_min, break_min, slack_min, bound_min, revision
FROM packet WHERE id = $1`
	packetLockSQL = `
SELECT id, day, crew_id, state, yard_min, drive_min, setup_min, work_min, dump_min, break_min, slack_min, bound_min, revision
FROM packet WHERE id = $1 FOR NO KEY UPDATE`
	packetListSQL = `
SELECT id, day, crew_id, state, yard_min, drive_min, setup_min, work_min, dump_min, break_min, slack_min, bound_min, revision
FROM packet WHERE day BETWEEN $1 AND $2 AND ($3 OR state <> 'recalled') ORDER BY day, crew_id, id`
	stopsSQL = `
SELECT packet_id, id, seq, kind, coalesce(visit_id, 0), coalesce(dump_id, 0), arrive, drive_min, setup_min, work_min, locked, state
FROM stop WHERE packet_id = ANY ($1) ORDER BY packet_id, seq`
)

// Packet reads one packet with its stops in order.
func (d *DB) Packet(ctx context.Context, id int64) (scheduler.Packet, error) {
	return readPacket(ctx, d.pool, packetByIDSQL, id)
}

// PacketList returns the packets of the days from..to with their stops, by day
// and crew; recalled ones only when asked for.
func (d *DB) PacketList(ctx context.Context, from, to scheduler.Date, recalled bool) ([]scheduler.Packet, error) {
	rows, err := d.pool.Query(ctx, packetListSQL, from, to, recalled)
	if err != nil {
		return nil, failed("list packets", err)
	}
	list, err := pgx.CollectRows(rows, scanPacket)
	if err != nil {
		return nil, failed("list packets", err)
	}
	return list, readStops(ctx, d.pool, list)
}

func readPacket(ctx context.Context, q querier, sql string, id int64) (scheduler.Packet, error) {
	rows, err := q.Query(ctx, sql, id)
	if err != nil {
		return scheduler.Packet{}, failed("read packet", err)
	}
	list, err := pgx.CollectRows(rows, scanPacket)
	if err != nil {
		return scheduler.Packet{}, failed("read packet", err)
	}
	if len(list) == 0 {
		return scheduler.Packet{}, scheduler.Errorf(scheduler.NotFound, "packet %d: there is none", id)
	}
	return list[0], readStops(ctx, q, list[:1])
}

func scanPacket(row pgx.CollectableRow) (p scheduler.Packet, err error) {
	m := &p.Minutes
	err = row.Scan(&p.ID, &p.Day, &p.CrewID, &p.State, &m.Yard, &m.Drive, &m.SetUp, &m.Work, &m.Dump, &m.Break, &m.Slack, &p.Bound,
		&p.Revision)
	p.Stops = []scheduler.Stop{}
	return p, err
}

// readStops fills in the stops of the packets.
func readStops(ctx context.Context, q querier, list []scheduler.Packet) error {
	ids := make([]int64, len(list))
	at := make(map[int64]*scheduler.Packet, len(list))
	for i := range list {
		ids[i] = list[i].ID
		at[list[i].ID] = &list[i]
	}
	rows, err := q.Query(ctx, stopsSQL, ids)
	if err != nil {
		return failed("read stops", err)
	}
	var packet int64
	var s scheduler.Stop
	_, err = pgx.ForEachRow(rows, []any{
		&packet, &s.ID, &s.Seq, &s.Kind, &s.VisitID, &s.DumpID, &s.Arrive, &s.Drive, &s.SetUp, &s.Work, &s.Locked, &s.State,
	}, func() error {
		p := at[packet]
		p.Stops = append(p.Stops, s)
		return nil
	})
	return failed("read stops", err)
}
