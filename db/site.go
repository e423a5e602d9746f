package db

import (
	"context"
	"fmt"
	"runtime"
	"sync"

	"github.com/jackc/pgx/v5"

	"limbround/geo"
)

// A site's numbers are computed in geo.Ground.Reduce; here the ground and the
// sites are read for it, and what changed is written. Sites go through in groups,
// so that memory is bounded by the ground and one group.
const (
	streetReach  = geo.GroundReach   // a changed block is felt to its side, and round the corner
	nearReach    = geo.SideReach + 1 // walks, wires, signs, and rounding
	sitesAtATime = 20_000
)

const (
	allSitesSQL = `SELECT id FROM site ORDER BY id`
	// The ids stand here twice, so that both tables are read through their index:
	// to the planner a group is so large that it would read a whole table for it.
	siteFactsSQL = `
SELECT s.id, ST_X(s.geom), ST_Y(s.geom), f.site_id IS NOT NULL, coalesce(f.district_id, 0), coalesce(f.section_id, 0),
    coalesce(f.street_id, 0), coalesce(f.street_side = 'left', false), coalesce(f.face_id, 0), coalesce(f.along_mm, -1),
    coalesce(f.parking, false), coalesce(f.to_curb_mm, -1), coalesce(f.to_lane_mm, -1), coalesce(f.half_road_mm, -1),
    coalesce(f.to_walk_mm, -1), coalesce(f.wire_class::text, 'none'), coalesce(f.wire_volts, 0), coalesce(f.to_wire_mm, -1),
    coalesce(f.wire_height_mm, -1), coalesce(f.to_sign_mm, -1), coalesce(f.to_light_mm, -1), coalesce(f.to_junction_mm, -1),
    coalesce(f.in_sight, false)
FROM site s LEFT JOIN site_fact f ON f.site_id = s.id AND f.site_id = ANY($1::bigint[])
WHERE s.id = ANY($1::bigint[]) ORDER BY s.id`
)

// ReduceSites computes the numbers of the given sites anew, of all sites when
// none is given, and returns how many rows changed. The numbers are derived:
// running it again changes nothing.
func (d *DB) ReduceSites(ctx context.Context, ids ...int64) (int64, error) {
	var n int64
	err := d.tx(ctx, func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, lockImportSQL, int64(importLock)); err != nil {
			return err
		}
		among := ids
		if len(among) == 0 {
			var err error
			if among, err = idsOf(ctx, tx, allSitesSQL); err != nil {
				return err
			}
		}
		var err error
		n, err = reduceSites(ctx, tx, among)
		return err
	})
	return n, err
}

// reduceSites computes the numbers of the given sites, each named once, and
// returns how many rows changed.
func reduceSites(ctx context.Context, tx pgx.Tx, ids []int64) (int64, error) {
	if len(ids) == 0 {
		return 0, nil
	}
	ground, err := readGround(ctx, tx, ids)
	if err != nil {
		return 0, fmt.Errorf("reduce sites: %w", err)
	}
	var n int64
	for len(ids) > 0 {
		k := min(len(ids), sitesAtATime)
		group, err := readSites(ctx, tx, ids[:k])
		if err != nil {
			return n, fmt.Errorf("read sites: %w", err)
		}
		reduceAll(ground, group)
		written, err := writeFacts(ctx, tx, group)
		if err != nil {
			return n, fmt.Errorf("write numbers of sites: %w", err)
		}
		n += written
		ids = ids[k:]
	}
	return n, nil
}

// siteNumbers are a site's numbers as they stand and as they should be.
type siteNumbers struct {
	id       int64
	at       geo.Point
	there    bool // it has numbers
	was, now geo.Reduced
}

func readSites(ctx context.Context, tx pgx.Tx, ids []int64) ([]siteNumbers, error) {
	rows, err := tx.Query(ctx, siteFactsSQL, ids)
	if err != nil {
		return nil, err
	}
	out := make([]siteNumbers, 0, len(ids))
	var s siteNumbers
	var wire string
	f := &s.was
	into := []any{
		&s.id, &s.at.X, &s.at.Y, &s.there, &f.District, &f.Section, &f.Block, &f.Left, &f.Face,
		(*int32)(&f.Along), &f.Parking, (*int32)(&f.ToCurb), (*int32)(&f.ToLane), (*int32)(&f.HalfRoad), (*int32)(&f.ToWalk), &wire, &f.WireVolts,
		(*int32)(&f.ToWire), (*int32)(&f.WireHeight), (*int32)(&f.ToSign), (*int32)(&f.ToLight), (*int32)(&f.ToJunction), &f.InSight,
	}
	_, err = pgx.ForEachRow(rows, into, func() error {
		f.WireRank = wireRank(wire)
		out = append(out, s)
		return nil
	})
	return out, err
}

// reduceAll shares the group among the processors.
func reduceAll(ground *geo.Ground, group []siteNumbers) {
	const share = 500
	var wait sync.WaitGroup
	busy := make(chan struct{}, runtime.GOMAXPROCS(0))
	for len(group) > 0 {
		part := group[:min(share, len(group))]
		group = group[len(part):]
		busy <- struct{}{}
		wait.Go(func() {
			for i := range part {
				part[i].now = ground.Reduce(part[i].at)
			}
			<-busy
		})
	}
	wait.Wait()
}
