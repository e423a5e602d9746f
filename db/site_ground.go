package db

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"limbround/geo"
)

// The ground round sites is read either whole or, for a few sites, as far as it
// can matter to them. Where a width is not recorded the width of its class
// stands in (arterial 14 m, collector 11 m, residential 9 m, alley 5 m; a walk
// 1.5 m: common practice, from memory), and where no speed is its class's
// (35, 30, 25 and 15 mph: from memory).
const (
	// fewSites is up to how many sites index look-ups cost less than reading all.
	fewSites = 2000

	// aroundSites ends a layer's query with the rows within $2 metres of the sites $1.
	aroundSites            = ` WHERE a.id IN (SELECT a.id FROM unnest($1::bigint[]) u (id) JOIN site s ON s.id = u.id `
	groundDistrictsSQL     = `SELECT a.id, a.geom FROM district a`
	groundDistrictsNearSQL = groundDistrictsSQL + aroundSites + `JOIN district a ON ST_DWithin(a.geom, s.geom, $2::float8))`
	groundSectionsSQL      = `SELECT a.id, a.geom FROM section a`
	groundSectionsNearSQL  = groundSectionsSQL + aroundSites + `JOIN section a ON ST_DWithin(a.geom, s.geom, $2::float8))`
	groundBlocksSQL        = `
SELECT a.id, a.geom, coalesce(a.width_mm, CASE a.class WHEN 'arterial' THEN 14000 WHEN 'collector' THEN 11000
           WHEN 'alley' THEN 5000 ELSE 9000 END) / 2, a.parking IN ('left', 'both'), a.parking IN ('right', 'both'),
       coalesce(l.id, 0), coalesce(r.id, 0),
       coalesce(a.speed_kmh, CASE a.class WHEN 'arterial' THEN 56 WHEN 'collector' THEN 48 WHEN 'alley' THEN 24 ELSE 40 END),
       CASE a.class WHEN 'arterial' THEN 3 WHEN 'collector' THEN 2 WHEN 'alley' THEN 0 ELSE 1 END
FROM street a LEFT JOIN block_face l ON l.street_id = a.id AND l.side = 'left'
LEFT JOIN block_face r ON r.street_id = a.id AND r.side = 'right'`
	groundBlocksNearSQL = groundBlocksSQL + aroundSites + `JOIN street a ON ST_DWithin(a.geom, s.geom, $2::float8))`
	groundWalksSQL      = `SELECT a.geom, coalesce(a.width_mm, 1500) / 2 FROM walk a`
	groundWalksNearSQL  = groundWalksSQL + aroundSites + `JOIN walk a ON ST_DWithin(a.geom, s.geom, $2::float8))`
	groundWiresSQL      = `SELECT a.id, a.geom, a.class::text, coalesce(a.volts, 0), a.height_mm FROM wire a`
	groundWiresNearSQL  = groundWiresSQL + aroundSites + `JOIN wire a ON ST_DWithin(a.geom, s.geom, $2::float8))`
	groundSignsSQL      = `SELECT ST_X(a.geom), ST_Y(a.geom), a.kind = 'light' FROM sign a`
	groundSignsNearSQL  = groundSignsSQL + aroundSites + `JOIN sign a ON ST_DWithin(a.geom, s.geom, $2::float8))`
)

// groundReader reads the layers in the order of the ground's lists.
type groundReader struct {
	tx  pgx.Tx
	ids []int64 // of the sites; nil for the whole ground
}

// readGround reads what can matter to the given sites, and makes it ready.
func readGround(ctx context.Context, tx pgx.Tx, ids []int64) (*geo.Ground, error) {
	r := groundReader{tx: tx}
	if len(ids) <= fewSites {
		r.ids = ids
	}
	g := &geo.Ground{}
	for _, layer := range []struct {
		name string
		read func(context.Context, *geo.Ground) error
	}{
		{"districts", r.districts},
		{"sections", r.sections},
		{"streets", r.blocks},
		{"walks", r.walks},
		{"wires", r.wires},
		{"signs", r.signs},
	} {
		if err := layer.read(ctx, g); err != nil {
			return nil, fmt.Errorf("read %s: %w", layer.name, err)
		}
	}
	g.Ready()
	return g, nil
}

// each calls fn for every row of a layer, scanned into the given places.
func (r *groundReader) each(ctx context.Context, all, near string, reach float64, into []any, fn func()) error {
	sql, args := all, []any{}
	if r.ids != nil {
		sql, args = near, []any{r.ids, reach}
	}
	rows, err := r.tx.Query(ctx, sql, args...)
	if err != nil {
		return err
	}
	_, err = pgx.ForEachRow(rows, into, func() error { fn(); return nil })
	return err
}

func (r *groundReader) districts(ctx context.Context, g *geo.Ground) (err error) {
	g.Districts, err = r.areas(ctx, groundDistrictsSQL, groundDistrictsNearSQL)
	return err
}

func (r *groundReader) sections(ctx context.Context, g *geo.Ground) (err error) {
	g.Sections, err = r.areas(ctx, groundSectionsSQL, groundSectionsNearSQL)
	return err
}

func (r *groundReader) areas(ctx context.Context, all, near string) (list []geo.Area, err error) {
	var id int64
	var shape geo.Shape
	const border = 1 // metres: enough for a site on the border
	err = r.each(ctx, all, near, border, []any{&id, &shape}, func() {
		list = append(list, geo.Area{ID: id, Region: geo.NewRegion(shape.Parts())})
	})
	return list, err
}

func (r *groundReader) blocks(ctx context.Context, g *geo.Ground) error {
	var b geo.Block
	var shape geo.Shape
	into := []any{&b.ID, &shape, &b.Half, &b.ParkLeft, &b.ParkRight, &b.FaceLeft, &b.FaceRight, &b.Speed, &b.Order}
	return r.each(ctx, groundBlocksSQL, groundBlocksNearSQL, geo.GroundReach, into, func() {
		b.Path = geo.NewPath(shape.Points())
		g.Blocks = append(g.Blocks, b)
	})
}

func (r *groundReader) walks(ctx context.Context, g *geo.Ground) error {
	var w geo.Walk
	var shape geo.Shape
	return r.each(ctx, groundWalksSQL, groundWalksNearSQL, geo.SideReach+1, []any{&shape, &w.Half}, func() {
		w.Path = geo.NewPath(shape.Points())
		g.Walks = append(g.Walks, w)
	})
}

func (r *groundReader) wires(ctx context.Context, g *geo.Ground) error {
	var w geo.Wire
	var shape geo.Shape
	var class string
	return r.each(ctx, groundWiresSQL, groundWiresNearSQL, geo.SideReach+1, []any{&w.ID, &shape, &class, &w.Volts, &w.Height}, func() {
		w.Path, w.Rank = geo.NewPath(shape.Points()), wireRank(class)
		g.Wires = append(g.Wires, w)
	})
}

func (r *groundReader) signs(ctx context.Context, g *geo.Ground) error {
	var p geo.Point
	var light bool
	return r.each(ctx, groundSignsSQL, groundSignsNearSQL, geo.SideReach+1, []any{&p.X, &p.Y, &light}, func() {
		if light {
			g.Lights = append(g.Lights, p)
		} else {
			g.Signs = append(g.Signs, p)
		}
	})
}
