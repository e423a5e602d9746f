package db

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"
)

// A site's surroundings are reduced to numbers: PostGIS looks for the nearest
// block, walk, wire, sign, light and junction once, when any of them changes,
// and the rules then need no geometry. All distances run from the trunk's
// centre in the horizontal.
//
// The block is the nearest centreline within 40 m. The side is the sign of the
// cross product of the block's direction at the foot of the tree with the
// vector from that foot to the tree; a tree in the median counts to one side.
// The curb is half the street's width from the centreline; where the width is
// not recorded the width of its class stands in (arterial 14 m, collector 11 m,
// residential 9 m, alley 5 m: common practice, from memory). A parking lane adds
// 2.4 m to the edge of the nearest travel lane.
//
// A junction is an end of the block that touches another block, at most 60 m
// along it. A site is taken to lie in a sight triangle within 25 m of a junction
// and 3 m of the curb: a first version, without the approach speeds.
const (
	streetReach  = 100.0 // a changed block is felt 40 m to the side and 60 m along
	nearReach    = 16.0  // walks, wires, signs: 15 m, and rounding
	sitesAtATime = 20_000
)

const (
	reduceSitesSQL = `
INSERT INTO site_fact (site_id, district_id, section_id, street_id, street_side, face_id, along_mm, parking, to_curb_mm,
    to_lane_mm, half_road_mm, to_walk_mm, wire_class, to_wire_mm, wire_height_mm, to_sign_mm, to_light_mm, to_junction_mm, in_sight)
SELECT s.id, d.id, c.id, st.id, st.side, f.id, st.along_mm, coalesce(st.parks, false), st.to_curb_mm,
    st.to_curb_mm + CASE WHEN st.parks THEN 2400 ELSE 0 END, st.half_mm, wk.to_walk_mm, coalesce(wr.class, 'none'),
    wr.to_wire_mm, wr.height_mm, sg.to_sign_mm, lt.to_light_mm, j.to_junction_mm,
    coalesce(j.to_junction_mm <= 25000 AND st.to_curb_mm <= 3000, false)
FROM unnest($1::bigint[]) u (id)
JOIN site s ON s.id = u.id
LEFT JOIN LATERAL (SELECT a.id FROM district a WHERE ST_Intersects(a.geom, s.geom) ORDER BY a.id LIMIT 1) d ON true
LEFT JOIN LATERAL (SELECT a.id FROM section a WHERE ST_Intersects(a.geom, s.geom) ORDER BY a.id LIMIT 1) c ON true
LEFT JOIN LATERAL (
    SELECT q.id, q.geom, q.length, q.half_mm, q.along_mm, q.to_curb_mm, q.side, q.parking IN ('both', q.side::text) AS parks
    FROM (
        SELECT b.id, b.geom, b.length, b.parking, h.half_mm, round(b.at * b.length * 1000)::integer AS along_mm,
               greatest(0, round(b.away * 1000)::integer - h.half_mm) AS to_curb_mm,
               (CASE WHEN (ST_X(v.ahead) - ST_X(v.behind)) * (ST_Y(s.geom) - ST_Y(v.foot))
                        - (ST_Y(v.ahead) - ST_Y(v.behind)) * (ST_X(s.geom) - ST_X(v.foot)) >= 0
                     THEN 'left' ELSE 'right' END)::tree_side AS side
        FROM (
            SELECT n.id, n.geom, n.class, n.width_mm, n.parking, n.away, ST_LineLocatePoint(n.geom, s.geom) AS at,
                   ST_Length(n.geom) AS length
            FROM (
                SELECT a.id, a.geom, a.class, a.width_mm, a.parking, ST_Distance(a.geom, s.geom) AS away
                FROM street a WHERE ST_DWithin(a.geom, s.geom, 40) ORDER BY away, a.id LIMIT 1) n) b
        CROSS JOIN LATERAL (
            SELECT coalesce(b.width_mm, CASE b.class WHEN 'arterial' THEN 14000 WHEN 'collector' THEN 11000
                                                     WHEN 'alley' THEN 5000 ELSE 9000 END) / 2 AS half_mm) h
        CROSS JOIN LATERAL (
            SELECT ST_LineInterpolatePoint(b.geom, b.at) AS foot,
                   ST_LineInterpolatePoint(b.geom, greatest(0, b.at - 0.5 / b.length)) AS behind,
                   ST_LineInterpolatePoint(b.geom, least(1, b.at + 0.5 / b.length)) AS ahead) v) q) st ON true
LEFT JOIN block_face f ON f.street_id = st.id AND f.side = st.side
LEFT JOIN LATERAL (
    SELECT min(e.mm) AS to_junction_mm
    FROM (VALUES (st.along_mm, ST_StartPoint(st.geom)),
                 (round(st.length * 1000)::integer - st.along_mm, ST_EndPoint(st.geom))) e (mm, geom)
    WHERE e.mm <= 60000 AND EXISTS (SELECT 1 FROM street o WHERE o.id <> st.id AND ST_DWithin(o.geom, e.geom, 0.5))) j ON true
LEFT JOIN LATERAL (
    SELECT greatest(0, round(ST_Distance(a.geom, s.geom) * 1000)::integer - coalesce(a.width_mm, 1500) / 2) AS to_walk_mm
    FROM walk a WHERE ST_DWithin(a.geom, s.geom, 15) ORDER BY 1, a.id LIMIT 1) wk ON true
LEFT JOIN LATERAL (
    -- Lines on the same poles lie at one distance: the most dangerous counts.
    SELECT a.class, round(ST_Distance(a.geom, s.geom) * 1000)::integer AS to_wire_mm, a.height_mm
    FROM wire a WHERE ST_DWithin(a.geom, s.geom, 15)
    ORDER BY round(ST_Distance(a.geom, s.geom)::numeric, 1), a.class DESC, a.height_mm, a.id LIMIT 1) wr ON true
LEFT JOIN LATERAL (
    SELECT round(min(ST_Distance(a.geom, s.geom)) * 1000)::integer AS to_sign_mm
    FROM sign a WHERE a.kind <> 'light' AND ST_DWithin(a.geom, s.geom, 15)) sg ON true
LEFT JOIN LATERAL (
    SELECT round(min(ST_Distance(a.geom, s.geom)) * 1000)::integer AS to_light_mm
    FROM sign a WHERE a.kind = 'light' AND ST_DWithin(a.geom, s.geom, 15)) lt ON true
ON CONFLICT (site_id) DO UPDATE SET
    district_id = excluded.district_id, section_id = excluded.section_id, street_id = excluded.street_id,
    street_side = excluded.street_side, face_id = excluded.face_id, along_mm = excluded.along_mm, parking = excluded.parking,
    to_curb_mm = excluded.to_curb_mm, to_lane_mm = excluded.to_lane_mm, half_road_mm = excluded.half_road_mm,
    to_walk_mm = excluded.to_walk_mm, wire_class = excluded.wire_class, to_wire_mm = excluded.to_wire_mm,
    wire_height_mm = excluded.wire_height_mm, to_sign_mm = excluded.to_sign_mm, to_light_mm = excluded.to_light_mm,
    to_junction_mm = excluded.to_junction_mm, in_sight = excluded.in_sight
WHERE site_fact.* IS DISTINCT FROM excluded.*`
	allSitesSQL = `SELECT id FROM site ORDER BY id`
)

// ReduceSites computes the numbers of the given sites anew, of all sites when
// none is given, and returns how many rows changed. The numbers are derived:
// running it again changes nothing.
func (d *DB) ReduceSites(ctx context.Context, ids ...int64) (int64, error) {
	var n int64
	err := d.tx(ctx, func(tx pgx.Tx) error {
		var err error
		if len(ids) == 0 {
			if ids, err = siteIDs(ctx, tx, allSitesSQL); err != nil {
				return err
			}
		}
		n, err = reduceSites(ctx, tx, ids)
		return err
	})
	return n, err
}

// reduceSites works through the sites in groups, which bounds memory and keeps
// the planner at index look-ups.
func reduceSites(ctx context.Context, tx pgx.Tx, ids []int64) (int64, error) {
	var n int64
	for len(ids) > 0 {
		k := min(len(ids), sitesAtATime)
		tag, err := tx.Exec(ctx, reduceSitesSQL, ids[:k])
		if err != nil {
			return n, fmt.Errorf("reduce sites: %w", err)
		}
		n += tag.RowsAffected()
		ids = ids[k:]
	}
	return n, nil
}
