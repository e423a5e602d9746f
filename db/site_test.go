package db_test

import (
	"testing"

	"limbround/geo"
)

// factsSQL prints a site's numbers: district, section, street, side, along, parking, curb, lane, half road, walk, wire
// class, its volts, wire, wire height, sign, light, junction, in sight.
const factsSQL = `
SELECT d.ref, c.ref, st.ref, f.street_side::text, (b.side = f.street_side)::text, f.along_mm, f.parking, f.to_curb_mm, f.to_lane_mm,
       f.half_road_mm, f.to_walk_mm, f.wire_class::text, f.wire_volts, f.to_wire_mm, f.wire_height_mm, f.to_sign_mm, f.to_light_mm, f.to_junction_mm, f.in_sight
FROM site s JOIN site_fact f ON f.site_id = s.id LEFT JOIN district d ON d.id = f.district_id LEFT JOIN section c ON c.id = f.section_id
LEFT JOIN street st ON st.id = f.street_id LEFT JOIN block_face b ON b.id = f.face_id WHERE s.ref = $1`

func TestReducedSites(t *testing.T) {
	w := newTown(t)
	files := w.larkin()
	files["trees"], files["history"] = nil, nil
	w.loadAll(files)
	tree := func(ref string, x, y float64) {
		w.load("trees", w.row("trees", spot(x, y), f{"ref": ref, "species": "ACRU"}))
	}
	for _, c := range []struct {
		name string
		x, y float64
		want string
	}{
		// 12 m wide with parking: the curb is 6 m from the centre, the lane 2.4 m further off; walk 2 m wide at 10 m.
		{"north side, mid-block", -100, 7, "W S2 weir-1 left true 100000 true 1000 3400 6000 2000 primary - 1500 9000 - - - false"},
		{"south side", -100, -7.5, "W S1 weir-1 right true 100000 true 1500 3900 6000 - none - - - - - - false"},
		{"near the corner", -20, 7, "W S2 weir-1 left true 180000 true 1000 3400 6000 2000 primary - 1500 9000 14000 - 20000 false"},
		// The line of sight from 4.42 m behind the lane sinks by 6.25 m in 102 m (335 ft at 30 mph): to 3.4 m it is 16.7 m.
		{"in the triangle", -16, 7, "W S2 weir-1 left true 184000 true 1000 3400 6000 2000 primary - 1500 9000 10000 - 16000 true"},
		{"just out of it", -17, 7, "W S2 weir-1 left true 183000 true 1000 3400 6000 2000 primary - 1500 9000 11000 - 17000 false"},
		{"by the light", -45, 7, "W S2 weir-1 left true 155000 true 1000 3400 6000 2000 primary - 1500 9000 - 1000 45000 false"},
		// A collector without a width counts as 11 m.
		{"east of the corner", 100, 7, "E S2 weir-2 left true 100000 false 1500 1500 5500 2000 primary - 1500 9000 - - - false"},
		// Parking is on the right of a northbound residential block, 9 m by class.
		{"right of a northbound block", 6, -100, "E S1 lock-1 right true 100000 true 1500 3900 4500 - none - - - - - - false"},
		{"left of it", -6, -100, "W S1 lock-1 left true 100000 false 1500 1500 4500 - none - - - - - - false"},
		{"on the centreline", -120, 0, "W S1 weir-1 left true 80000 true 0 2400 6000 9000 primary - 8500 9000 - - - false"},
		{"far from every street", 100, 100, "E S2 - - - - false - - - - none - - - - - - false"},
	} {
		tree(c.name, c.x, c.y)
		if got := w.one(factsSQL, c.name); got != c.want {
			t.Errorf("%s:\n got %s\nwant %s", c.name, got, c.want)
		}
	}
	if n, err := w.ReduceSites(t.Context()); n != 0 || err != nil {
		t.Errorf("reducing again wrote %d rows, %v", n, err)
	}

	// What changes around a site changes its numbers.
	w.load("streets", w.row("streets", line(-200, 0, 0, 0), f{"ref": "weir-1", "class": "collector", "width_mm": geo.Length(10000), "parking": "left"}))
	w.load("walks", w.row("walks", line(-200, 9, 200, 9), f{"ref": "w1"}))
	w.load("districts", w.row("districts", box(-500, -500, -110, 500), f{"ref": "W", "name": "West"}))
	want := "- S2 weir-1 left true 100000 true 2000 4400 5000 1000 primary - 1500 9000 - - - false"
	if got := w.one(factsSQL, "north side, mid-block"); got != want {
		t.Errorf("after changes:\n got %s\nwant %s", got, want)
	}
	if got := w.one(factsSQL, "south side"); got != "- S1 weir-1 right true 100000 false 2500 2500 5000 - none - - - - - - false" {
		t.Errorf("south side after changes: %s", got)
	}
	if got := w.one("SELECT version FROM district WHERE ref = 'W'"); got != "2" {
		t.Errorf("moved boundary has version %s", got)
	}
}
