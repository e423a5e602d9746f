package db

import (
	"context"
	"strconv"
	"strings"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

const (
	packetStateSQL = `
UPDATE packet SET state = $2, revision = revision + 1, issued_at = coalesce($3, issued_at),
    issued_by = CASE WHEN $3::timestamptz IS NULL THEN issued_by ELSE $4 END
WHERE id = $1`
	packetEditSQL = `
UPDATE packet SET drive_min = $2, setup_min = $3, work_min = $4, dump_min = $5, break_min = $6, slack_min = $7,
    bound_min = $8, revision = revision + 1
WHERE id = $1`
	stopEditSQL = `
UPDATE stop SET seq = $2, arrive = $3, drive_min = $4, setup_min = $5, work_min = $6, locked = $7 WHERE id = $1`
	stopDropSQL = `DELETE FROM stop WHERE packet_id = $1 AND id <> ALL ($2)`
	signsOfSQL  = `SELECT count(*) FROM parking_sign g JOIN stop s ON s.id = g.stop_id WHERE s.packet_id = $1 AND s.id <> ALL ($2)`
	crewFitSQL  = `
SELECT c.name, c.tickets, EXISTS (SELECT FROM crew_day_off o WHERE o.crew_id = c.id AND o.day = $2) FROM crew c WHERE c.id = $1`
	packetClosedSQL = `
SELECT s.visit_id FROM stop s JOIN visit v ON v.id = s.visit_id
WHERE s.packet_id = $1 AND s.state = 'planned' AND (v.progress <> 'open' OR v.state = 'held') ORDER BY s.seq LIMIT 1`
)

// SetPacketState moves a packet on: issue, start, complete, recall, or put it
// on weather hold. Another revision than the one seen is Stale; a step that is not allowed is a Clash, and so
// is issuing to a crew that is off that day or has an expired ticket (which it
// names), or a packet with a visit that is no longer to be done.
func (d *DB) SetPacketState(ctx context.Context, id int64, revision int, to scheduler.PacketState, by scheduler.Stamp) (scheduler.Packet, error) {
	var p scheduler.Packet
	err := d.tx(ctx, func(tx pgx.Tx) error {
		var err error
		if p, err = takePacket(ctx, tx, id, revision); err != nil {
			return err
		}
		if !p.State.May(to) {
			return scheduler.Errorf(scheduler.Clash, "packet %d is %s: it cannot become %s", id, p.State, to)
		}
		var issued any
		if to == scheduler.PacketIssued {
			if err := mayIssue(ctx, tx, &p); err != nil {
				return err
			}
			issued = by.At
		}
		if _, err := tx.Exec(ctx, packetStateSQL, id, to, issued, by.Actor); err != nil {
			return failed("move packet on", taken(err))
		}
		if err := audit(ctx, tx, by, string(to), "packet", strconv.FormatInt(id, 10), map[string]any{"from": p.State}); err != nil {
			return err
		}
		p, err = readPacket(ctx, tx, packetByIDSQL, id)
		return err
	})
	return p, err
}

// takePacket locks and reads a packet and compares the edit counter.
func takePacket(ctx context.Context, tx pgx.Tx, id int64, revision int) (scheduler.Packet, error) {
	p, err := readPacket(ctx, tx, packetLockSQL, id)
	if err == nil && p.Revision != revision {
		err = stale("packet", id)
	}
	return p, err
}

func mayIssue(ctx context.Context, tx pgx.Tx, p *scheduler.Packet) error {
	crew := scheduler.Crew{ID: p.CrewID}
	var off bool
	if err := tx.QueryRow(ctx, crewFitSQL, p.CrewID, p.Day).Scan(&crew.Name, &crew.Tickets, &off); err != nil {
		return failed("read crew", err)
	}
	if off {
		return scheduler.Errorf(scheduler.Clash, "%s is off on %s: packet %d cannot be issued", crew.Name, p.Day, p.ID)
	}
	if expired := crew.Expired(p.Day); len(expired) > 0 {
		var names []string
		for _, t := range expired {
			names = append(names, t.What+" (expired "+t.Expires.String()+")")
		}
		e := scheduler.Errorf(scheduler.Clash, "%s has an expired ticket on %s: %s", crew.Name, p.Day, strings.Join(names, ", "))
		e.Hint = "renew it, or give the work to another crew"
		return e
	}
	var visit int64
	err := tx.QueryRow(ctx, packetClosedSQL, p.ID).Scan(&visit)
	if err == nil {
		e := scheduler.Errorf(scheduler.Clash, "packet %d holds visit %d, which is completed, withdrawn or held", p.ID, visit)
		e.Hint = "take the stop out first"
		return e
	}
	if isNoRows(err) {
		return nil
	}
	return failed("look at packet's visits", err)
}

// EditPacket locks a packet, lets decide change it (Packet.Move, Lock, Remove),
// and stores what decide made of it. Stops that decide left out are taken from the packet. Another
// revision than the one seen is Stale.
func (d *DB) EditPacket(ctx context.Context, id int64, revision int, decide func(*scheduler.Packet) error, by scheduler.Stamp) (scheduler.Packet, error) {
	var p scheduler.Packet
	err := d.tx(ctx, func(tx pgx.Tx) error {
		var err error
		if p, err = takePacket(ctx, tx, id, revision); err != nil {
			return err
		}
		if err := decide(&p); err != nil {
			return err
		}
		if err := storeEdit(ctx, tx, &p); err != nil {
			return err
		}
		if err := audit(ctx, tx, by, "edited", "packet", strconv.FormatInt(id, 10), map[string]any{"stops": len(p.Stops)}); err != nil {
			return err
		}
		p, err = readPacket(ctx, tx, packetByIDSQL, id)
		return err
	})
	return p, err
}

func storeEdit(ctx context.Context, tx pgx.Tx, p *scheduler.Packet) error {
	ids := make([]int64, len(p.Stops))
	batch := pgx.Batch{}
	for i := range p.Stops {
		s := &p.Stops[i]
		ids[i] = s.ID
		batch.Queue(stopEditSQL, s.ID, s.Seq, s.Arrive, s.Drive, s.SetUp, s.Work, s.Locked)
	}
	var signs int
	if err := tx.QueryRow(ctx, signsOfSQL, p.ID, ids).Scan(&signs); err != nil {
		return failed("look for posted signs", err)
	}
	if signs > 0 {
		return scheduler.Errorf(scheduler.Clash, "packet %d: parking signs are posted for a stop that would be taken out", p.ID)
	}
	if _, err := tx.Exec(ctx, stopDropSQL, p.ID, ids); err != nil {
		return failed("take stops out", err)
	}
	if err := tx.SendBatch(ctx, &batch).Close(); err != nil {
		return failed("change stops", err)
	}
	m := &p.Minutes
	_, err := tx.Exec(ctx, packetEditSQL, p.ID, m.Drive, m.SetUp, m.Work, m.Dump, m.Break, m.Slack, p.Bound)
	return failed("change packet", err)
}
