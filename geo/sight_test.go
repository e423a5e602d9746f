package geo

import "testing"

// Highway Engineering Handbook, Table 2.3A: intersection sight distance in ft of
// a passenger car from a stop, left turn and right turn or crossing.
func TestIntersectionSightAsPublished(t *testing.T) {
	for _, row := range [][3]int{
		{15, 170, 145},
		{20, 225, 195},
		{25, 280, 240},
		{30, 335, 290},
		{35, 390, 335},
		{40, 445, 385},
		{45, 500, 430},
		{50, 555, 480},
		{55, 610, 530},
		{60, 665, 575},
		{65, 720, 625},
		{70, 775, 670},
	} {
		if got := IntersectionSight(row[0], LeftTurnGap); got != Feet(float64(row[1])) {
			t.Errorf("%d mph, left turn: %s, want %d ft", row[0], got, row[1])
		}
		if got := IntersectionSight(row[0], CrossGap); got != Feet(float64(row[2])) {
			t.Errorf("%d mph, right turn or crossing: %s, want %d ft", row[0], got, row[2])
		}
	}
}

// Stopping sight distance in ft: the formula of the TxDOT Roadway Design Manual,
// 4.11.1; the cells from memory of the AASHTO table.
func TestStoppingSightAsPublished(t *testing.T) {
	for _, row := range [][2]int{{20, 115}, {25, 155}, {30, 200}, {35, 250}, {40, 305}, {45, 360}, {50, 425}, {55, 495}, {60, 570}, {65, 645}, {70, 730}} {
		if got := StoppingSight(row[0]); got != Feet(float64(row[1])) {
			t.Errorf("%d mph: %s, want %d ft", row[0], got, row[1])
		}
	}
}

func TestMPH(t *testing.T) {
	for kmh, want := range map[int]int{0: 0, 24: 15, 30: 19, 40: 25, 48: 30, 50: 31, 56: 35, 64: 40, 72: 45, 80: 50, 113: 70} {
		if got := MPH(kmh); got != want {
			t.Errorf("%d km/h is %d mph, want %d", kmh, got, want)
		}
	}
}

// The triangle drawn out: eye (0, 14.5 ft back), car (335 ft along, 6 ft inside
// the edge) at 30 mph. The line of sight crosses the edge 335 x 14.5/20.5 =
// 237 ft, 72.2 m, from the junction.
func TestTriangleByHand(t *testing.T) {
	for _, tc := range []struct {
		off, along Length
		in         bool
	}{
		{4420, 0, true},
		{4421, 0, false},
		{0, 72200, true},
		{0, 72300, false},
		{2210, 36000, true},
		{2210, 36200, false},
		{900, 57400, true},
		{900, 57600, false},
		{3300, 18200, true},
		{3300, 18400, false},
	} {
		if got := inSight(tc.off, tc.along, 48); got != tc.in {
			t.Errorf("%s off the edge, %s along: %v", tc.off, tc.along, got)
		}
	}
}

// A residential street meets an arterial: its drivers wait. Trees along the
// arterial stand in the triangle as far as the arterial's speed asks, trees
// along the residential street at the corner alone.
func TestWhoWaits(t *testing.T) {
	g := Ground{Blocks: []Block{
		{ID: 1, Path: NewPath([]Point{{0, 0}, {300, 0}}), Half: 7000, Speed: 56, Order: 3},
		{ID: 2, Path: NewPath([]Point{{0, 0}, {0, 200}}), Half: 4500, Speed: 40, Order: 1},
	}}
	g.Ready()
	for _, tc := range []struct {
		name string
		at   Point
		in   bool
	}{
		{"along the arterial, near", Point{20, 8}, true},
		{"along the arterial, 60 m off", Point{60, 8}, true},
		{"along the arterial, beyond the line", Point{75, 8}, false},
		{"along the arterial, set back", Point{40, 11}, false},
		{"along the residential street, at the corner", Point{5.4, 10}, true},
		{"along the residential street, further back", Point{5.4, 20}, false},
		{"at the free end", Point{290, 8}, false},
	} {
		if got := g.Reduce(tc.at).InSight; got != tc.in {
			t.Errorf("%s: %v", tc.name, got)
		}
	}
}

// Corners are 25 ft, 7.62 m, along both curbs: what a site is off the one and off
// the other comes to no more. They hold where equals meet, at an alley's mouth, and
// beside a street that goes first; not across the way from where a street goes off,
// and not where one merely goes on.
func TestCorners(t *testing.T) {
	west := Block{ID: 1, Path: NewPath([]Point{{-100, 0}, {0, 0}}), Half: 4500, Speed: 40, Order: 1}
	east := Block{ID: 2, Path: NewPath([]Point{{100, 3}, {0, 0}}), Half: 4500, Speed: 40, Order: 1}
	north := func(order int) Block {
		return Block{ID: 3, Path: NewPath([]Point{{0, 0}, {0, 100}}), Half: 3500, Speed: 40, Order: order}
	}
	south := Block{ID: 4, Path: NewPath([]Point{{0, -100}, {0, 100}}), Half: 3500, Speed: 40, Order: 1}
	for _, tc := range []struct {
		name   string
		blocks []Block
		at     Point
		in     bool
	}{
		{"at the corner, 3 m and 4.6 m off", []Block{west, north(1)}, Point{-8.1, 7.5}, true},
		{"3 m and 4.7 m off", []Block{west, north(1)}, Point{-8.2, 7.5}, false},
		{"the same from the other street", []Block{west, north(1)}, Point{-6.5, 9.1}, true},
		{"the same, too far back", []Block{west, north(1)}, Point{-6.5, 9.2}, false},
		{"a block on, where a car from the right would be looked for", []Block{west, north(1)}, Point{-40, 6}, false},
		{"across the way", []Block{west, north(1)}, Point{-5, -6}, false},
		{"a street that goes through has two corners", []Block{west, south}, Point{-6.5, -5.5}, true},
		{"at an alley's mouth", []Block{west, north(0)}, Point{-5, 6}, true},
		{"along the street an alley leads into", []Block{west, north(0)}, Point{-20, 6}, false},
		{"where the street goes on", []Block{west, east}, Point{-5, 6}, false},
		{"beside a street that goes first, as far as the corner goes", []Block{west, north(2)}, Point{-9, 6.5}, true},
		{"and no farther", []Block{west, north(2)}, Point{-9.5, 6.5}, false},
		{"beside the one that goes first", []Block{west, north(2)}, Point{-4.5, 40}, true},
		{"on its far side nobody waits", []Block{west, north(2)}, Point{4.5, 40}, false},
	} {
		g := Ground{Blocks: tc.blocks}
		g.Ready()
		if got := g.Reduce(tc.at).InSight; got != tc.in {
			t.Errorf("%s: %v", tc.name, got)
		}
	}
}
