package db

import (
	"context"
	"slices"

	"github.com/jackc/pgx/v5"

	"limbround/geo"
	"limbround/scheduler"
)

// wireRanks are the classes of overhead lines in the order of danger, which is
// that of the database's enum.
var wireRanks = []scheduler.WireClass{
	scheduler.WireNone, scheduler.WireComms, scheduler.WireService, scheduler.WireSecondary,
	scheduler.WirePrimary, scheduler.WireTransmission, scheduler.WireUnknown,
}

func wireRank(class string) int { return slices.Index(wireRanks, scheduler.WireClass(class)) }

const updateFactsSQL = `
UPDATE site_fact f SET district_id = n.district_id, section_id = n.section_id, street_id = n.street_id, street_side = n.street_side,
    face_id = n.face_id, along_mm = n.along_mm, parking = n.parking, to_curb_mm = n.to_curb_mm, to_lane_mm = n.to_lane_mm,
    half_road_mm = n.half_road_mm, to_walk_mm = n.to_walk_mm, wire_class = n.wire_class, wire_volts = n.wire_volts, to_wire_mm = n.to_wire_mm,
    wire_height_mm = n.wire_height_mm, to_sign_mm = n.to_sign_mm, to_light_mm = n.to_light_mm, to_junction_mm = n.to_junction_mm,
    in_sight = n.in_sight
FROM unnest($1::bigint[], $2::bigint[], $3::bigint[], $4::bigint[], $5::text[]::tree_side[], $6::bigint[], $7::integer[], $8::boolean[],
    $9::integer[], $10::integer[], $11::integer[], $12::integer[], $13::text[]::wire_class[], $14::integer[], $15::integer[],
    $16::integer[], $17::integer[], $18::integer[], $19::integer[], $20::boolean[])
    n (site_id, district_id, section_id, street_id, street_side, face_id, along_mm, parking, to_curb_mm, to_lane_mm, half_road_mm,
    to_walk_mm, wire_class, wire_volts, to_wire_mm, wire_height_mm, to_sign_mm, to_light_mm, to_junction_mm, in_sight)
WHERE f.site_id = n.site_id`

// factColumns are the columns of site_fact in the order of factRow and of the
// arguments of updateFactsSQL.
var factColumns = []string{
	"site_id", "district_id", "section_id", "street_id", "street_side", "face_id", "along_mm", "parking", "to_curb_mm", "to_lane_mm",
	"half_road_mm", "to_walk_mm", "wire_class", "wire_volts", "to_wire_mm", "wire_height_mm", "to_sign_mm", "to_light_mm", "to_junction_mm", "in_sight",
}

// writeFacts stores the numbers that are new by COPY and those that differ by
// one update, and returns how many rows it wrote.
func writeFacts(ctx context.Context, tx pgx.Tx, group []siteNumbers) (int64, error) {
	var fresh, other []*siteNumbers
	for i := range group {
		s := &group[i]
		switch {
		case !s.there:
			fresh = append(fresh, s)
		case s.was != s.now:
			other = append(other, s)
		}
	}
	n := int64(len(fresh) + len(other))
	if len(fresh) > 0 {
		row := make([]any, len(factColumns))
		src := pgx.CopyFromSlice(len(fresh), func(i int) ([]any, error) { return factRow(row, fresh[i]), nil })
		if _, err := tx.CopyFrom(ctx, pgx.Identifier{"site_fact"}, factColumns, src); err != nil {
			return 0, err
		}
	}
	if len(other) == 0 {
		return n, nil
	}
	columns := make([]any, len(factColumns))
	for c := range columns {
		columns[c] = make([]any, len(other))
	}
	row := make([]any, len(factColumns))
	for i, s := range other {
		for c, v := range factRow(row, s) {
			columns[c].([]any)[i] = v
		}
	}
	_, err := tx.Exec(ctx, updateFactsSQL, columns...)
	return n, err
}

// factRow fills row with the site's numbers as the table holds them.
func factRow(row []any, s *siteNumbers) []any {
	n := &s.now
	var side any
	if n.Block != 0 {
		side = string(scheduler.SideRight)
		if n.Left {
			side = string(scheduler.SideLeft)
		}
	}
	return append(row[:0],
		s.id, orNull(n.District), orNull(n.Section), orNull(n.Block), side, orNull(n.Face), lengthOrNull(n.Along), n.Parking,
		lengthOrNull(n.ToCurb), lengthOrNull(n.ToLane), lengthOrNull(n.HalfRoad), lengthOrNull(n.ToWalk), string(wireRanks[n.WireRank]), orNull(int64(n.WireVolts)),
		lengthOrNull(n.ToWire), lengthOrNull(n.WireHeight), lengthOrNull(n.ToSign), lengthOrNull(n.ToLight), lengthOrNull(n.ToJunction),
		n.InSight)
}

func lengthOrNull(l geo.Length) any {
	if !l.Known() {
		return nil
	}
	return int32(l)
}
