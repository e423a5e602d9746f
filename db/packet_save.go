package db

import (
	"context"
	"errors"
	"strconv"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"limbround/scheduler"
)

const (
	draftsLockSQL = `
SELECT p.id FROM packet p WHERE p.state = 'draft' AND p.day BETWEEN $1 AND $2 ORDER BY p.id FOR NO KEY UPDATE`
	draftsReplaceSQL = `
WITH gone AS (
    UPDATE packet p SET state = 'recalled', revision = p.revision + 1
    WHERE p.state = 'draft' AND p.day BETWEEN $1 AND $2
      AND NOT EXISTS (SELECT FROM stop k WHERE k.packet_id = p.id AND (k.locked OR k.state <> 'planned'))
    RETURNING p.id)
INSERT INTO audit (at, actor, verb, noun, key, detail)
SELECT $3, $4, 'recalled', 'packet', g.id::text, '{"from": "draft", "why": "built again"}' FROM gone g ORDER BY g.id`
	packetInsertSQL = `
INSERT INTO packet (day, crew_id, yard_min, drive_min, setup_min, work_min, dump_min, break_min, slack_min, bound_min, made_at)
VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11) RETURNING id, revision`
	stopInsertSQL = `
INSERT INTO stop (packet_id, seq, kind, visit_id, dump_id, arrive, drive_min, setup_min, work_min, locked)
VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10) RETURNING id`
	visitsTakenSQL = `
SELECT s.visit_id, p.id, p.day, c.name FROM stop s JOIN packet p ON p.id = s.packet_id JOIN crew c ON c.id = p.crew_id
WHERE s.live AND s.visit_id = ANY ($1) ORDER BY s.visit_id LIMIT 1`
	visitsGoneSQL = `SELECT v.id, v.progress FROM visit v WHERE v.id = ANY ($1) AND v.progress <> 'open' ORDER BY v.id LIMIT 1`
	visitsKeepSQL = `SELECT count(*) FROM (SELECT v.id FROM visit v WHERE v.id = ANY ($1) ORDER BY v.id FOR SHARE) kept`
	crewDaySQL    = `
SELECT p.id, c.name FROM packet p JOIN crew c ON c.id = p.crew_id
WHERE p.crew_id = $1 AND p.day = $2 AND p.state IN ('draft', 'issued', 'started', 'weather_hold')`
)

// SavePackets stores new packets as drafts, all or none. With replace set the
// drafts of the days from..to that hold no locked stop are recalled first. A visit that is in
// another live packet, a crew-day that has one, or a visit that is no longer open is a
// Clash that names it; the database's own indexes see to it when two
// dispatchers save at the same moment.
func (d *DB) SavePackets(ctx context.Context, packets []scheduler.Packet, from, to scheduler.Date, replace bool, by scheduler.Stamp) ([]scheduler.Packet, error) {
	saved := make([]scheduler.Packet, len(packets))
	err := d.tx(ctx, func(tx pgx.Tx) error {
		if err := keepVisits(ctx, tx, packets); err != nil {
			return err
		}
		if replace {
			if _, err := tx.Exec(ctx, draftsLockSQL, from, to); err != nil {
				return failed("lock drafts", err)
			}
			if _, err := tx.Exec(ctx, draftsReplaceSQL, from, to, by.At, by.Actor); err != nil {
				return failed("replace drafts", err)
			}
		}
		if err := packable(ctx, tx, packets); err != nil {
			return err
		}
		for i := range packets {
			saved[i] = packets[i]
			if err := savePacket(ctx, tx, &saved[i], by); err != nil {
				return taken(err)
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return saved, nil
}

// keepVisits locks the visits of the packets in share, so that no record
// completes one before the packets stand. Visits are locked before packets, as a record does.
func keepVisits(ctx context.Context, tx pgx.Tx, packets []scheduler.Packet) error {
	var locked int
	return failed("keep visits", tx.QueryRow(ctx, visitsKeepSQL, visitsOf(packets)).Scan(&locked))
}

func visitsOf(packets []scheduler.Packet) []int64 {
	var visits []int64
	for i := range packets {
		for j := range packets[i].Stops {
			if id := packets[i].Stops[j].VisitID; id != 0 {
				visits = append(visits, id)
			}
		}
	}
	return visits
}

// packable refuses, by name, what the indexes would refuse by number.
func packable(ctx context.Context, tx pgx.Tx, packets []scheduler.Packet) error {
	for i := range packets {
		p := &packets[i]
		var id int64
		var crew string
		err := tx.QueryRow(ctx, crewDaySQL, p.CrewID, p.Day).Scan(&id, &crew)
		if err == nil {
			return scheduler.Errorf(scheduler.Clash, "%s has packet %d on %s already", crew, id, p.Day)
		} else if !isNoRows(err) {
			return failed("look for crew's packet", err)
		}
	}
	visits := visitsOf(packets)
	var visit, packet int64
	var day scheduler.Date
	var crew string
	var progress scheduler.Progress
	err := tx.QueryRow(ctx, visitsTakenSQL, visits).Scan(&visit, &packet, &day, &crew)
	if err == nil {
		return scheduler.Errorf(scheduler.Clash, "visit %d is in packet %d of %s on %s already", visit, packet, crew, day)
	} else if !isNoRows(err) {
		return failed("look for visits in packets", err)
	}
	err = tx.QueryRow(ctx, visitsGoneSQL, visits).Scan(&visit, &progress)
	if err == nil {
		e := scheduler.Errorf(scheduler.Clash, "visit %d is %s: it cannot be packed any more", visit, progress)
		e.Hint = "build the packets again from the visits as they are now"
		return e
	} else if !isNoRows(err) {
		return failed("look for closed visits", err)
	}
	return nil
}

func savePacket(ctx context.Context, tx pgx.Tx, p *scheduler.Packet, by scheduler.Stamp) error {
	m := &p.Minutes
	p.State = scheduler.PacketDraft
	err := tx.QueryRow(ctx, packetInsertSQL, p.Day, p.CrewID, m.Yard, m.Drive, m.SetUp, m.Work, m.Dump, m.Break, m.Slack, p.Bound,
		by.At).Scan(&p.ID, &p.Revision)
	if err != nil {
		return failed("keep packet", err)
	}
	stops := make([]scheduler.Stop, len(p.Stops))
	copy(stops, p.Stops)
	p.Stops = stops
	batch := pgx.Batch{}
	for i := range p.Stops {
		s := &p.Stops[i]
		s.State = scheduler.StopPlanned
		batch.Queue(stopInsertSQL, p.ID, s.Seq, string(s.Kind), orNull(s.VisitID), orNull(s.DumpID), s.Arrive, s.Drive, s.SetUp, s.Work,
			s.Locked).QueryRow(func(row pgx.Row) error { return row.Scan(&s.ID) })
	}
	if err := tx.SendBatch(ctx, &batch).Close(); err != nil {
		return failed("keep stops", err)
	}
	return audit(ctx, tx, by, "built", "packet", strconv.FormatInt(p.ID, 10),
		map[string]any{"day": p.Day, "crew": p.CrewID, "stops": len(p.Stops)})
}

// taken says in words which of the two rules another dispatcher's packet, saved
// at the same moment, has hit.
func taken(err error) error {
	var pe *pgconn.PgError
	if !errors.As(err, &pe) {
		return err
	}
	e := &scheduler.Error{Kind: scheduler.Clash, Err: err, Hint: "look at the packets of the day, then build again"}
	switch pe.ConstraintName {
	case "stop_visit_live_once":
		e.Message = "a visit was put into another live packet at the same moment"
	case "packet_one_live_per_crew_day":
		e.Message = "the crew was given another packet for the day at the same moment"
	default:
		return err
	}
	return e
}
