package db_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"limbround/geo"
	"limbround/scheduler"
)

// reducedByPostGIS answers the numbers of every site by PostGIS alone, which
// knows nothing of this project: its distances, positions along a line and
// intersections are the reference for those computed in geo.
const reducedByPostGIS = `
SELECT s.id, d.id, c.id, st.id, st.side, f.id, st.along_mm, coalesce(st.parks, false), st.to_curb_mm,
    st.to_curb_mm + CASE WHEN st.parks THEN 2400 ELSE 0 END, st.half_mm, wk.to_walk_mm, coalesce(wr.class, 'none'), wr.volts,
    wr.to_wire_mm, wr.height_mm, sg.to_sign_mm, lt.to_light_mm, j.to_junction_mm,
    coalesce(v.in_sight, false)
FROM site s
LEFT JOIN LATERAL (SELECT a.id FROM district a WHERE ST_Intersects(a.geom, s.geom) ORDER BY a.id LIMIT 1) d ON true
LEFT JOIN LATERAL (SELECT a.id FROM section a WHERE ST_Intersects(a.geom, s.geom) ORDER BY a.id LIMIT 1) c ON true
LEFT JOIN LATERAL (
    SELECT q.id, q.geom, q.length, q.class, q.speed_kmh, q.half_mm, q.along_mm, q.to_curb_mm, q.side, q.parking IN ('both', q.side::text) AS parks
    FROM (
        SELECT b.id, b.geom, b.length, b.class, b.speed_kmh, b.parking, h.half_mm, round(b.at * b.length * 1000)::integer AS along_mm,
               greatest(0, round(b.away * 1000)::integer - h.half_mm) AS to_curb_mm,
               (CASE WHEN (ST_X(v.ahead) - ST_X(v.behind)) * (ST_Y(s.geom) - ST_Y(v.foot))
                        - (ST_Y(v.ahead) - ST_Y(v.behind)) * (ST_X(s.geom) - ST_X(v.foot)) >= 0
                     THEN 'left' ELSE 'right' END)::tree_side AS side
        FROM (
            SELECT n.id, n.geom, n.class, n.width_mm, n.speed_kmh, n.parking, n.away, ST_LineLocatePoint(n.geom, s.geom) AS at,
                   ST_Length(n.geom) AS length
            FROM (
                SELECT a.id, a.geom, a.class, a.width_mm, a.speed_kmh, a.parking, ST_Distance(a.geom, s.geom) AS away
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
    -- The line of sight from 14.5 ft behind the edge of the street that has the
    -- way to a car 6 ft inside it, 1.47 V 7.5 ft off, rounded up to 5 ft; and the
    -- corner of 25 ft. On the side where the other street goes off.
    SELECT true AS in_sight
    FROM (VALUES (st.along_mm, ST_StartPoint(st.geom), ST_LineInterpolatePoint(st.geom, least(1, 10 / st.length)), 1),
                 (greatest(0, round(st.length * 1000)::integer - st.along_mm), ST_EndPoint(st.geom),
                  ST_LineInterpolatePoint(st.geom, greatest(0, 1 - 10 / st.length)), -1)) e (mm, geom, inner_point, way)
    JOIN street o ON o.id <> st.id AND ST_DWithin(o.geom, e.geom, 0.5)
    CROSS JOIN LATERAL (
        SELECT coalesce(o.width_mm, CASE o.class WHEN 'arterial' THEN 14000 WHEN 'collector' THEN 11000
                                                 WHEN 'alley' THEN 5000 ELSE 9000 END) / 2 AS half_mm,
               ST_Distance(ST_StartPoint(o.geom), e.geom) <= 0.5 AS starts, ST_Distance(ST_EndPoint(o.geom), e.geom) <= 0.5 AS ends) w
    CROSS JOIN LATERAL (
        SELECT ST_X(e.inner_point) - ST_X(e.geom) AS ux, ST_Y(e.inner_point) - ST_Y(e.geom) AS uy,
               ST_X(h.goes) - ST_X(h.corner) AS wx, ST_Y(h.goes) - ST_Y(h.corner) AS wy
        FROM (SELECT CASE WHEN w.starts THEN ST_StartPoint(o.geom) ELSE ST_EndPoint(o.geom) END AS corner,
                     ST_LineInterpolatePoint(o.geom, CASE WHEN w.starts THEN least(1, 10 / ST_Length(o.geom))
                                                          ELSE greatest(0, 1 - 10 / ST_Length(o.geom)) END) AS goes) h) g
    CROSS JOIN LATERAL (VALUES
        (st.class, o.class, st.speed_kmh, st.to_curb_mm + CASE WHEN st.parks THEN 2400 ELSE 0 END, e.mm),
        (o.class, st.class, o.speed_kmh, greatest(0, e.mm - w.half_mm), st.to_curb_mm + st.half_mm))
        t (through, waits, speed_kmh, off_mm, along_mm)
    CROSS JOIN LATERAL (
        SELECT ceil(11.025 * round(coalesce(t.speed_kmh, CASE t.through WHEN 'arterial' THEN 56 WHEN 'collector' THEN 48
                                                                        WHEN 'alley' THEN 24 ELSE 40 END) / 1.609344) / 5) * 1524 AS far_mm) f
    WHERE (w.starts = w.ends OR (g.ux * g.wy - g.uy * g.wx) * e.way * CASE st.side WHEN 'left' THEN 1 ELSE -1 END
                                > 0.25 * sqrt((g.ux * g.ux + g.uy * g.uy) * (g.wx * g.wx + g.wy * g.wy)))
        AND (st.to_curb_mm + greatest(0, round(ST_Distance(o.geom, s.geom) * 1000)::integer - w.half_mm) <= 7620
            OR t.waits <> 'alley'
            AND array_position(ARRAY['alley', 'residential', 'collector', 'arterial'], t.waits::text)
                < array_position(ARRAY['alley', 'residential', 'collector', 'arterial'], t.through::text)
            AND t.off_mm <= 4420 - t.along_mm * (4420 + 1829) / f.far_mm)
    LIMIT 1) v ON true
LEFT JOIN LATERAL (
    SELECT greatest(0, round(ST_Distance(a.geom, s.geom) * 1000)::integer - coalesce(a.width_mm, 1500) / 2) AS to_walk_mm
    FROM walk a WHERE ST_DWithin(a.geom, s.geom, 15) ORDER BY 1, a.id LIMIT 1) wk ON true
LEFT JOIN LATERAL (
    -- Lines on the same poles lie at one distance: the most dangerous counts.
    SELECT a.class, round(ST_Distance(a.geom, s.geom) * 1000)::integer AS to_wire_mm, a.height_mm, nullif(a.volts, 0) AS volts
    FROM wire a WHERE ST_DWithin(a.geom, s.geom, 15)
    ORDER BY round(ST_Distance(a.geom, s.geom)::numeric, 1), a.class DESC, a.height_mm, a.id LIMIT 1) wr ON true
LEFT JOIN LATERAL (
    SELECT round(min(ST_Distance(a.geom, s.geom)) * 1000)::integer AS to_sign_mm
    FROM sign a WHERE a.kind <> 'light' AND ST_DWithin(a.geom, s.geom, 15)) sg ON true
LEFT JOIN LATERAL (
    SELECT round(min(ST_Distance(a.geom, s.geom)) * 1000)::integer AS to_light_mm
    FROM sign a WHERE a.kind = 'light' AND ST_DWithin(a.geom, s.geom, 15)) lt ON true`

// reducedHere are the same columns as the import left them.
const reducedHere = `
SELECT site_id, district_id, section_id, street_id, street_side, face_id, along_mm, parking, to_curb_mm, to_lane_mm, half_road_mm,
    to_walk_mm, wire_class, wire_volts, to_wire_mm, wire_height_mm, to_sign_mm, to_light_mm, to_junction_mm, in_sight
FROM site_fact`

// sameAsPostGIS compares every column of every site, of which there are at least so many.
func (w *town) sameAsPostGIS(what string, sites int) {
	w.t.Helper()
	want := strings.Split(w.one("SELECT r::text FROM ("+reducedByPostGIS+") r ORDER BY 1"), "\n")
	got := strings.Split(w.one("SELECT r::text FROM ("+reducedHere+") r ORDER BY 1"), "\n")
	if len(want) < sites {
		w.t.Fatalf("%s: PostGIS answers %d sites, want %d", what, len(want), sites)
	}
	if d := cmp.Diff(want, got); d != "" {
		w.t.Errorf("%s (-PostGIS +here):\n%s", what, d)
	}
}

func TestReductionEqualsPostGISInAwkwardPlaces(t *testing.T) {
	w := newTown(t)
	w.awkwardGround()
	sites := 0
	put := func(x, y float64) { // not by import: it joins sites that are closer than half a metre
		p := at(x, y)
		w.exec("INSERT INTO site (ref, source_srid, source_x, source_y, geom) VALUES ($1, $2, $3, $4, ST_SetSRID(ST_Point($3, $4), $2))",
			fmt.Sprint("A", sites), utm16, p.X, p.Y)
		sites++
	}
	for _, p := range [][2]float64{
		{0, 0}, {0.5, 0.5}, {-0.5, 0.5}, {25, 0}, {-25, 3}, {60, 4}, {60.0005, 4}, {140, 5}, {139.9995, 5}, // junctions
		{50, 50}, {-50, 50}, {30, 30}, {7, 7}, // as far from one street as from another
		{0, 40}, {0, 60}, {40, 40}, {40.0005, 40}, {240, 0}, {240.0005, 0}, {230, 20}, // at the reach of a street, beyond its end
		{300, 300}, {310, 310}, {305, 306}, {303, 302}, {320, 320}, {325, 325}, {318, 321.5}, {330, 300}, // a bent street, at and inside its bends
		{400, 0}, {400, 10}, {420, 10}, {410, 0}, {410, 5}, {410, -5}, {410, 2.5}, // a street that turns back
		{-100, 0}, {-100, 7}, {-100, -7}, {-100.0005, 7.0005}, {-100, 15}, {-100, 25}, {-100, 24.9995}, {-100, 25.0005}, // walks, wires at 10 m
		{-180, 0.05}, {-180, 1.95}, {-180, 2.05}, {-160, 3}, {-160, 3.05}, {-160, 2.95}, // wires in the same tenth of a metre
		{-500, 0}, {500, 0}, {0, 500}, {0, -500}, {500, 500}, {-500, -500}, {250, 500}, // on the districts' borders and corners
		{-300, -300}, {-250, -250}, {-250, -300}, {-350, -350}, {-350, -300}, {-300, -350}, {-260, -260}, {-350.0005, -300}, // a hole, its border
		{700, 0}, {710, 10}, {705, 5}, {700, 5}, {760, 5}, {750, 10}, {730, 5}, // a district in two parts
		{900, 900}, {600, 600}, {0, -400}, // inside nothing
	} {
		put(p[0], p[1])
	}
	// Points on a slanted street, where no coordinate is a round number.
	for i := range 40 {
		share := float64(i) / 39
		put(150+share*177, -150-share*91)
		put(150+share*177+3.3*share, -150-share*91+6.9*share)
	}
	if n, err := w.ReduceSites(t.Context()); err != nil || n != int64(sites) {
		t.Fatalf("reduced %d sites of %d, %v", n, sites, err)
	}
	w.sameAsPostGIS("all sites", sites)
	w.awkwardDistricts()
	w.sameAsPostGIS("new districts", sites)

	// A changed ground, and one site after the other.
	w.load("streets", w.row("streets", line(-200, 0.5, -3, 0.2), f{"ref": "west", "class": "alley", "parking": "right"}))
	w.load("districts", w.row("districts", box(-510, -500, -100, 500), f{"ref": "W", "name": "West"}))
	w.sameAsPostGIS("a moved street and border", sites)
	w.exec("UPDATE site_fact SET to_curb_mm = to_curb_mm + 1, wire_class = 'unknown'")
	w.exec("DELETE FROM site_fact WHERE site_id % 3 = 0")
	var ids []int64
	rows, err := w.sql.Query(t.Context(), "SELECT id FROM site ORDER BY id")
	if err == nil {
		var id int64
		for rows.Next() {
			if err = rows.Scan(&id); err != nil {
				break
			}
			ids = append(ids, id)
		}
		rows.Close()
	}
	if err != nil || len(ids) != sites {
		t.Fatalf("%d sites, %v", len(ids), err)
	}
	for _, id := range ids {
		if n, err := w.ReduceSites(t.Context(), id); err != nil || n != 1 {
			t.Errorf("site %d: wrote %d rows, %v", id, n, err)
		}
		if n, err := w.ReduceSites(t.Context(), id); err != nil || n != 0 {
			t.Errorf("site %d again: wrote %d rows, %v", id, n, err)
		}
	}
	w.sameAsPostGIS("one by one", sites)
}

// awkwardDistricts have a hole, two parts, and share borders; sections overlap.
func (w *town) awkwardDistricts() {
	w.t.Helper()
	area := func(parts ...[][]geo.Point) geo.Shape { return geo.NewAreas(utm16, parts) }
	ring := func(xy ...float64) []geo.Point { return line(append(xy, xy[0], xy[1])...).Points() }
	w.load("districts",
		w.row("districts", area([][]geo.Point{ring(-500, -500, 0, -500, 0, 500, -500, 500), ring(-350, -350, -350, -250, -250, -250, -250, -350)}), f{"ref": "W", "name": "West"}),
		w.row("districts", box(0, -500, 500, 500), f{"ref": "E", "name": "East"}),
		w.row("districts", area([][]geo.Point{ring(700, 0, 710, 10, 700, 10)}, [][]geo.Point{ring(720, 0, 760, 0, 760, 10, 740, 10, 740, 5, 720, 5)}), f{"ref": "I", "name": "Isles"}))
	w.load("sections",
		w.row("sections", box(-500, -500, 100, 100), f{"ref": "S1", "name": "one"}),
		w.row("sections", area([][]geo.Point{ring(-300, -300, 500, -300, 0, 500)}), f{"ref": "S2"})) // it overlaps the first
}

// awkwardGround is a ground on which the look-ups have to choose.
func (w *town) awkwardGround() {
	w.t.Helper()
	street := func(ref, class, parking string, shape geo.Shape) scheduler.Row {
		return w.row("streets", shape, f{"ref": ref, "class": class, "parking": parking})
	}
	w.load("streets",
		street("west", "arterial", "both", line(-200, 0, 0, 0)),
		street("east", "collector", "none", line(0, 0, 200, 0)),
		street("south", "residential", "left", line(0, -200, 0, 0)),
		street("north", "alley", "right", line(0, 0, 0, 0.0001, 0, 200)),
		street("bent", "residential", "left", line(300, 300, 310, 310, 310, 310, 320, 310, 320, 320, 330, 320, 335, 300)),
		street("back", "residential", "right", line(400, 0, 420, 0, 420, 5, 400, 5)),
		street("touch", "alley", "none", line(200, 0.4, 200, 90)),
		street("slant", "collector", "both", line(150, -150, 327, -241)),
		street("near miss", "alley", "none", line(327.3, -241.5, 380, -290)))
	w.load("walks",
		w.row("walks", line(-200, 10, 0, 10), f{"ref": "k1", "width_mm": geo.Length(2000)}),
		w.row("walks", line(-200, 10, 0, 10.4), f{"ref": "k2", "width_mm": geo.Length(3001)}),
		w.row("walks", line(140, -140, 327, -235), f{"ref": "k3"}))
	wire := func(ref, class string, height geo.Length, y0, y1 float64) scheduler.Row {
		v := f{"ref": ref, "class": class}
		if height.Known() {
			v["height_mm"] = height
		}
		return w.row("wires", line(-200, y0, 0, y1), v)
	}
	w.load("wires", wire("w1", "communication", 5000, 10, 10), wire("w2", "primary", geo.None, 10.04, 10.04), wire("w3", "primary", 9000, 10.03, 10.03),
		wire("w4", "primary", 9000, 10.02, 10.02), wire("w5", "unknown", geo.None, 10.1, 10.1), wire("w6", "transmission", 20000, -3, -3))
	w.load("signs",
		w.row("signs", spot(-100, 15), f{"ref": "g1", "kind": "light"}), w.row("signs", spot(-110, 7), f{"ref": "g2", "kind": "stop"}),
		w.row("signs", spot(-90, 7), f{"ref": "g3", "kind": "sign"}), w.row("signs", spot(15, 0), f{"ref": "g4", "kind": "signal"}))
}

// TestReductionEqualsPostGISEverywhere compares on a ground drawn at random: 1,500
// sites among crooked streets, overlapping areas and wires on shared poles.
func TestReductionEqualsPostGISEverywhere(t *testing.T) {
	w := newTown(t)
	r := rand.New(rand.NewPCG(7, 11))
	const side = 800.0
	crooked := func(pieces int, step float64, from ...float64) geo.Shape {
		x, y := r.Float64()*side, r.Float64()*side
		if len(from) > 0 {
			x, y = from[0], from[1]
		}
		xy := []float64{x, y}
		for range pieces {
			x, y = x+(r.Float64()-0.5)*2*step, y+(r.Float64()-0.5)*2*step
			xy = append(xy, x, y)
		}
		return line(xy...)
	}
	pick := func(words ...string) string { return words[r.IntN(len(words))] }
	files := map[string][]scheduler.Row{}
	add := func(layer string, shape geo.Shape, fields f) {
		fields["ref"] = fmt.Sprint(layer, len(files[layer]))
		files[layer] = append(files[layer], w.row(layer, shape, fields))
	}
	for i := range 12 {
		x, y := r.Float64()*side, r.Float64()*side
		add("districts", box(x, y, x+50+r.Float64()*500, y+50+r.Float64()*500), f{"name": fmt.Sprint(i)})
		add("sections", box(x-200, y-200, x+r.Float64()*300, y+r.Float64()*300), f{})
	}
	// One district holds everything, so that each tree may stand where it does.
	add("districts", box(-500, -500, side+500, side+500), f{"name": "all"})
	for range 60 {
		v := f{"class": pick("arterial", "collector", "residential", "alley"), "parking": pick("none", "left", "right", "both")}
		if r.IntN(2) == 0 {
			v["width_mm"] = geo.Length(2000 + r.IntN(20000))
		}
		if r.IntN(3) > 0 {
			v["speed_kmh"] = int64(5 + r.IntN(126))
		}
		corner := []float64{r.Float64() * side, r.Float64() * side}
		add("streets", crooked(1+r.IntN(6), 60, corner...), v)
		for range r.IntN(4) { // others that meet it there
			class := pick("arterial", "collector", "residential", "alley")
			add("streets", crooked(1+r.IntN(3), 60, corner...), f{"class": class, "parking": "none"})
		}
		for range 20 {
			add("trees", spot(corner[0]+(r.Float64()-0.5)*40, corner[1]+(r.Float64()-0.5)*40), f{"state": "vacant"})
		}
		add("walks", crooked(1+r.IntN(4), 40), f{"width_mm": geo.Length(500 + r.IntN(4000))})
		shape := crooked(1+r.IntN(4), 50)
		for range 1 + r.IntN(3) {
			v := f{"class": pick("communication", "service", "secondary", "primary", "transmission", "unknown")}
			if r.IntN(3) > 0 {
				v["height_mm"] = geo.Length(3000 + r.IntN(9000))
			}
			if r.IntN(2) > 0 {
				v["volts"] = int64(r.IntN(100) * 1000)
			}
			add("wires", shape, v)
		}
		for range 4 {
			add("signs", spot(r.Float64()*side, r.Float64()*side), f{"kind": pick("stop", "sign", "signal", "light")})
		}
	}
	for range 1500 {
		add("trees", spot(r.Float64()*side, r.Float64()*side), f{"state": "vacant"})
	}
	w.loadAll(files)
	w.sameAsPostGIS("random ground", 1400) // a few share a site
}
