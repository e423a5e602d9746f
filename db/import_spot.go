package db

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"
)

// Who stands where. Two standing trees (alive, dead or stump) within spotMetres
// of each other are one spot: the same species under another key is a second
// copy of the same tree and is merged, another species is a fault. A tree that
// is gone, or a vacant site, shares the site that is there.
//
// The rows that are new or have moved come from the database in the order in
// which they win: known trees first, standing ones next, then by line, each
// with its nearest neighbour among the trees that are there already (as they
// will be after this file). Rows of the file are compared among themselves on a
// grid of cells of one spot's size, so that a file that puts a hundred thousand
// trees on one point costs no more than any other: a cell holds few spots,
// since no two of them are closer than spotMetres.
const spotMetres = 0.5

const (
	// Neighbours are found for all rows at once and joined in memory: a look-up
	// for each row inside one statement is at the mercy of the planner's guesses.
	neighboursSQL = `
SELECT w.line, st.id, ST_Distance(st.geom, w.geom), o.ref, coalesce(o.species, ''),
       coalesce(f.state, o.state) IN ('alive', 'dead', 'stump') AND o.id IS DISTINCT FROM w.target, coalesce(f.moved, false)
FROM want_trees w
JOIN site st ON ST_DWithin(st.geom, w.geom, 0.5)
JOIN tree o ON o.site_id = st.id
LEFT JOIN want_trees f ON f.batch_id = $1 AND f.target = o.id AND f.verdict IS NULL
WHERE w.batch_id = $1 AND w.verdict IS NULL AND (w.target IS NULL OR w.moved)
ORDER BY w.line, 3, st.id, o.id`
	spotsSQL = `
SELECT w.line, ST_X(w.geom), ST_Y(w.geom), w.state IN ('alive', 'dead', 'stump'), w.state = 'vacant', coalesce(w.species, ''),
       w.target IS NOT NULL, coalesce(w.site_id, 0)
FROM want_trees w
WHERE w.batch_id = $1 AND w.verdict IS NULL AND (w.target IS NULL OR w.moved)
ORDER BY w.target IS NULL, w.state NOT IN ('alive', 'dead', 'stump'), w.line`

	mergeSpotsSQL = `
UPDATE stage_key k SET verdict = 'merged', into_ref = coalesce(nullif(x.ref, ''), a.ref), why = x.why
FROM unnest($2::integer[], $3::text[], $4::integer[], $5::text[]) x (line, ref, other, why)
LEFT JOIN stage_key a ON a.batch_id = $1 AND a.line = x.other
WHERE k.batch_id = $1 AND k.line = x.line`
	faultSpotsSQL = `
INSERT INTO stage_fault (batch_id, line, field, value, rule)
SELECT k.batch_id, k.line, 'position', left(ST_AsText(k.raw, 6), 120), replace(x.why, '{other}', coalesce(nullif(x.ref, ''), a.ref))
FROM unnest($2::integer[], $3::text[], $4::integer[], $5::text[]) x (line, ref, other, why)
JOIN stage_key k ON k.batch_id = $1 AND k.line = x.line
LEFT JOIN stage_key a ON a.batch_id = $1 AND a.line = x.other`
	anchorSpotsSQL = `
UPDATE stage_key k SET anchor = nullif(x.site, 0), anchor_line = nullif(x.other, 0)
FROM unnest($2::integer[], $3::bigint[], $4::integer[]) x (line, site, other)
WHERE k.batch_id = $1 AND k.line = x.line`
)

// candidate is a row that is new or has moved, with its nearest neighbours
// among what is there already.
type candidate struct {
	line                    int32
	x, y                    float64
	standing, vacant, known bool
	species                 string
	own                     int64 // site of a known tree
	neighbour
}

// neighbour is what the database has within spotMetres of a row.
type neighbour struct {
	ref, otherSpecies string
	apart             float64 // to the standing tree ref
	site              int64   // nearest site that stays where it is, 0 for none
}

// spots collects what becomes of the candidates that do not simply stand alone.
type spots struct {
	grid    grid
	taken   map[int64]bool // existing sites that got a standing tree of this file
	merged  verdicts
	faults  verdicts
	stuck   verdicts // faults of known trees, which then stay where they were
	anchors struct {
		line, other []int32
		site        []int64
	}
}

type verdicts struct {
	line, other []int32 // the row; the row of the file that it meets, 0 when ref says it
	ref, why    []string
}

func (v *verdicts) add(line, other int32, ref, why string) {
	v.line, v.other = append(v.line, line), append(v.other, other)
	v.ref, v.why = append(v.ref, ref), append(v.why, why)
}

// refuse writes the verdicts as faults.
func (v *verdicts) refuse(ctx context.Context, tx pgx.Tx, batch int64) error {
	if len(v.line) == 0 {
		return nil
	}
	_, err := tx.Exec(ctx, faultSpotsSQL, batch, v.line, v.ref, v.other, v.why)
	return err
}

func readSpots(ctx context.Context, tx pgx.Tx, batch int64) (*spots, error) {
	near, err := readNeighbours(ctx, tx, batch)
	if err != nil {
		return nil, err
	}
	rows, err := tx.Query(ctx, spotsSQL, batch)
	if err != nil {
		return nil, err
	}
	s := &spots{grid: newGrid(), taken: map[int64]bool{}}
	var c candidate
	_, err = pgx.ForEachRow(rows, []any{&c.line, &c.x, &c.y, &c.standing, &c.vacant, &c.species, &c.known, &c.own}, func() error {
		c.neighbour = near[c.line]
		s.settle(&c)
		return nil
	})
	return s, err
}

// readNeighbours returns, by line, the nearest standing tree and the nearest
// site. They come nearest first; a site that moves away in this file is none.
func readNeighbours(ctx context.Context, tx pgx.Tx, batch int64) (map[int32]neighbour, error) {
	rows, err := tx.Query(ctx, neighboursSQL, batch)
	if err != nil {
		return nil, err
	}
	near := map[int32]neighbour{}
	var line int32
	var site int64
	var apart float64
	var ref, species string
	var standing, moved bool
	_, err = pgx.ForEachRow(rows, []any{&line, &site, &apart, &ref, &species, &standing, &moved}, func() error {
		if moved {
			return nil
		}
		n := near[line]
		if n.site == 0 {
			n.site = site
		}
		if standing && n.ref == "" {
			n.ref, n.otherSpecies, n.apart = ref, species, apart
		}
		near[line] = n
		return nil
	})
	return near, err
}

// settle decides about one candidate and remembers its spot.
func (s *spots) settle(c *candidate) {
	near, apart := s.grid.nearest(c.x, c.y)
	inFile := near != nil && near.standing && (c.ref == "" || apart < c.apart)
	other, ref, species, dist := int32(0), c.ref, c.otherSpecies, c.apart
	if inFile {
		other, ref, species, dist = near.line, "", s.grid.species[near.species], apart
	}
	if met := inFile || ref != ""; met && (c.standing || c.vacant) {
		faults := &s.faults
		if c.known {
			faults = &s.stuck
		}
		switch {
		case c.vacant:
			faults.add(c.line, other, ref, fmt.Sprintf("a vacant site has no tree, but {other} stands %.2f m away", dist))
		case !c.known && c.species != "" && c.species == species:
			s.merged.add(c.line, other, ref, fmt.Sprintf("same position and species, %.2f m apart", dist))
		default:
			faults.add(c.line, other, ref, fmt.Sprintf("two trees on one spot: {other} stands %.2f m away", dist))
		}
		return
	}
	site := c.own
	switch {
	case c.known:
	case c.site != 0 && !(c.standing && s.taken[c.site]):
		site = c.site
		s.anchor(c.line, site, 0)
	case near != nil && near.site != 0 && !c.standing:
		site = near.site
		s.anchor(c.line, site, 0)
	case near != nil && !c.standing:
		s.anchor(c.line, 0, near.line)
		return // the spot is on the grid already
	}
	if c.standing && site != 0 {
		s.taken[site] = true
	}
	s.grid.add(c, site)
}

func (s *spots) anchor(line int32, site int64, other int32) {
	s.anchors.line = append(s.anchors.line, line)
	s.anchors.site = append(s.anchors.site, site)
	s.anchors.other = append(s.anchors.other, other)
}

func (s *spots) write(ctx context.Context, tx pgx.Tx, batch int64) error {
	if m := s.merged; len(m.line) > 0 {
		if _, err := tx.Exec(ctx, mergeSpotsSQL, batch, m.line, m.ref, m.other, m.why); err != nil {
			return err
		}
	}
	if err := s.faults.refuse(ctx, tx, batch); err != nil {
		return err
	}
	if a := s.anchors; len(a.line) > 0 {
		if _, err := tx.Exec(ctx, anchorSpotsSQL, batch, a.line, a.site, a.other); err != nil {
			return err
		}
	}
	return nil
}
