package published

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

// Speeds of a table must run in fives from the first to the last.
func speeds(t *testing.T, name string, from, to int) []row {
	t.Helper()
	rows := table(t, name, (to-from)/5+1)
	for i, r := range rows {
		if r.whole("mph") != from+5*i {
			t.Fatalf("%s: row %d is %d mph", name, i+1, r.whole("mph"))
		}
	}
	return rows
}

func zone(t *testing.T, mph int) scheduler.WorkZone {
	t.Helper()
	z, ok := scheduler.NewWorkZone(mph, scheduler.LaneWidth)
	if !ok {
		t.Fatalf("no work zone at %d mph", mph)
	}
	return z
}

// feet reports a length as whole feet.
func feet(l geo.Length) int { return int(math.Round(l.Feet())) }

func TestTapers(t *testing.T) {
	for _, r := range speeds(t, "tapers", 20, 70) {
		z := zone(t, r.whole("mph"))
		for column, got := range map[string]geo.Length{"merging_ft": z.Merging, "shifting_ft": z.Shifting, "shoulder_ft": z.Shoulder, "downstream_ft": z.Downstream[0]} {
			if feet(got) != r.whole(column) || got != geo.Feet(r.number(column)) {
				t.Errorf("%d mph %s: %d ft, published %d", z.MPH, column, feet(got), r.whole(column))
			}
		}
		if z.LongerRule || z.OffTable {
			t.Errorf("%d mph: %+v", z.MPH, z)
		}
	}
}

// The publication gives W S²/60 up to 40 mph and W S from 45 mph on. Between
// them the longer is used, which is W S; TxDOT's manual (4.10.5, read) would
// use W S²/60 below 45 mph.
func TestTaperGap(t *testing.T) {
	for mph, longer := range map[int]float64{41: 492, 42: 504, 43: 516, 44: 528} {
		other := 12 * float64(mph*mph) / 60
		z := zone(t, mph)
		if got := z.Merging.Feet(); !z.LongerRule || !near(got, longer, 0.01) || got < other {
			t.Errorf("%d mph: %.1f ft, want %.0f; the other rule gives %.1f", mph, got, longer, other)
		}
	}
	for _, mph := range []int{40, 45} {
		if zone(t, mph).LongerRule {
			t.Errorf("%d mph has a rule of its own", mph)
		}
	}
}

// Other widths follow the same formula: 8 ft of parking lane, 10 ft of lane.
func TestTapersOfOtherWidths(t *testing.T) {
	for _, c := range []struct {
		mph     int
		width   float64
		merging int
	}{{30, 8, 120}, {30, 10, 150}, {45, 10, 450}, {25, 11, 115}} {
		z, ok := scheduler.NewWorkZone(c.mph, geo.Feet(c.width))
		if !ok || feet(z.Merging) != c.merging {
			t.Errorf("%g ft at %d mph: %d ft, want %d", c.width, c.mph, feet(z.Merging), c.merging)
		}
	}
}

func TestStoppingSight(t *testing.T) {
	for _, r := range speeds(t, "sight_stopping", 20, 70) {
		mph := r.whole("mph")
		if got := geo.StoppingSight(mph); feet(got) != r.whole("ft") {
			t.Errorf("%d mph: %d ft, published %d", mph, feet(got), r.whole("ft"))
		}
		if z := zone(t, mph); z.Buffer != geo.StoppingSight(mph) {
			t.Errorf("%d mph: buffer %d ft is not the stopping sight distance", mph, feet(z.Buffer))
		}
	}
}

// A junction's sight distances, as the program reduces its sites by them.
func TestIntersectionSight(t *testing.T) {
	gaps := table(t, "sight_gaps", 3)
	car := gaps[0]
	if car.text("vehicle") != "passenger car" || car.number("left_s") != geo.LeftTurnGap || car.number("right_s") != geo.CrossGap {
		t.Errorf("gaps of %g and %g s, published %v", geo.LeftTurnGap, geo.CrossGap, car.fields)
	}
	for _, r := range speeds(t, "sight_intersection", 15, 70) {
		for turn, gap := range map[string]float64{"left": geo.LeftTurnGap, "right": geo.CrossGap} {
			if got := geo.IntersectionSight(r.whole("mph"), gap); got != geo.Feet(r.number(turn+"_ft")) {
				t.Errorf("%d mph %s: %d ft, published %d", r.whole("mph"), turn, feet(got), r.whole(turn+"_ft"))
			}
		}
	}
	for i, vehicle := range gaps {
		if vehicle.number("left_s")-vehicle.number("right_s") != 1 || i > 0 && vehicle.number("left_s")-car.number("left_s") != 2*float64(i) {
			t.Errorf("gaps of %s: %v", vehicle.text("vehicle"), vehicle.fields)
		}
	}
}

// far is a row's distance as the objectives write it.
func far(r row) string {
	l := geo.Feet(r.number("ft"))
	return fmt.Sprintf("%.0f m (%.0f ft)", math.Round(l.M()), r.number("ft"))
}

// signWork is what the objectives say of a sign or signal that the crown comes
// to, on a street of the speed.
func signWork(t *testing.T, mph int) string {
	site := lawn()
	site.StreetClass, site.ToCurb, site.ToLane, site.HalfRoad, site.ToSign = scheduler.Arterial, 1000, 1000, 6000, 3000
	site.SpeedKmh = int(math.Round(float64(mph) * 1.609344))
	for _, v := range engine(t, "lower-midwest", nil).Visits(standing(t, 1500, 4000), site, day(t, "2026-11-25")) {
		for _, o := range v.Objectives {
			if strings.HasPrefix(o, "Sign or signal") {
				return o
			}
		}
	}
	t.Fatalf("no objective at %d mph", mph)
	return ""
}

// A signal is seen from farther than a driver needs to stop, at every speed, and
// up to 30 mph that holds for the newer model's values, a quarter lower, too.
func TestSignalDistances(t *testing.T) {
	for _, r := range speeds(t, "signals", 20, 60) {
		stop := geo.StoppingSight(r.whole("mph")).Feet()
		if want := "a signal from " + far(r); !strings.Contains(signWork(t, r.whole("mph")), want) {
			t.Errorf("%d mph: %q, want %q", r.whole("mph"), signWork(t, r.whole("mph")), want)
		}
		if d := r.number("ft"); d <= stop || r.whole("mph") <= 30 && 0.75*d <= stop {
			t.Errorf("%d mph: seen from %.0f ft, stops in %.0f", r.whole("mph"), d, stop)
		}
	}
}

func TestSignsAhead(t *testing.T) {
	rows := table(t, "signs_ahead", 5)
	for mph := 5; mph <= 70; mph++ {
		z := zone(t, mph)
		for _, r := range rows {
			got := z.Signs
			switch r.text("road") {
			case "urban":
				if mph <= r.whole("above_mph") || r.has("to_mph") && mph > r.whole("to_mph") {
					continue
				}
			case "rural":
				got = z.RuralSigns
			default: // a freeway has no street class here, and no street trees
				continue
			}
			for i, column := range []string{"a_ft", "b_ft", "c_ft"} {
				if feet(got[i]) != r.whole(column) {
					t.Errorf("%s, %d mph, sign %s: %d ft, published %d", r.text("road"), mph, column, feet(got[i]), r.whole(column))
				}
			}
		}
	}
}

func TestDevices(t *testing.T) {
	f := figures(t, "devices", 7)
	for mph := 20; mph <= 70; mph += 5 {
		z := zone(t, mph)
		if feet(z.InTaper) != mph*f["taper spacing"].whole("low") || feet(z.InTangent) != mph*f["straight spacing"].whole("low") {
			t.Errorf("%d mph: devices %d and %d ft apart", mph, feet(z.InTaper), feet(z.InTangent))
		}
		for name, got := range map[string][2]geo.Length{"one-lane taper": z.OneLane, "one-lane taper spacing": {z.InOneLane, z.InOneLane}, "downstream taper per lane": z.Downstream} {
			if feet(got[0]) != f[name].whole("low") || feet(got[1]) != f[name].whole("high") {
				t.Errorf("%s: %v ft", name, got)
			}
		}
		// The cones of the United Kingdom stand closer than all of this: a city
		// there keeps its own rule, and the page says that the plan comes first.
		if uk := f["UK longitudinal spacing"].length("high"); z.InTangent < uk || f["UK spacing in a 45 degree taper"].length("high") > z.InTaper {
			t.Errorf("%d mph: cones %s apart, %s in the United Kingdom", mph, z.InTangent, uk)
		}
	}
}

// approach is the distance in feet that an unqualified person keeps, as the
// program gives it from the 10 ft of the regulations: 4 in more for each started
// 10 kV above 50 kV to ground (29 CFR 1910.333 and 1910.269; rounding up is this
// project's reading, the text says "every 10 kV"). Lengths are whole millimetres,
// rounded up.
func approach(kv float64) float64 {
	return scheduler.WireRules{Approach: geo.Feet(10)}.Distance(int(math.Round(kv * 1000))).Feet()
}

const millimetre = 0.0033 // ft

func TestApproach(t *testing.T) {
	for _, c := range []struct{ kv, ft float64 }{{0, 10}, {0.12, 10}, {7.2, 10}, {39.8, 10}, {50, 10}, {50.1, 10 + 4.0/12}, {60, 10 + 4.0/12}, {60.1, 10 + 8.0/12}, {79.7, 11}, {199.2, 15}} {
		if got := approach(c.kv); got < c.ft-1e-9 || got > c.ft+millimetre {
			t.Errorf("%g kV to ground: %.3f ft, want %.3f", c.kv, got, c.ft)
		}
	}
	for _, name := range scheduler.Presets() { // 79.7 kV to ground: a foot more than the preset's own
		e := engine(t, name, nil)
		p := preset(t, name)
		for volts, more := range map[int]float64{0: 0, 39_800: 0, 79_700: 1} {
			site := lawn()
			site.WireClass, site.WireVolts, site.ToWire, site.WireHeight = scheduler.WireTransmission, volts, 2000, 9000
			want := fmt.Sprintf("(%.1f ft)", p.Wires.Approach.Feet()+more)
			said := ""
			for _, v := range e.Visits(standing(t, 3000, 3000), site, day(t, "2026-11-25")) {
				said += strings.Join(v.Cautions, " ")
			}
			if !strings.Contains(said, want) {
				t.Errorf("%s, %d V: %q, want %q", name, volts, said, want)
			}
		}
	}
	others := table(t, "wires_others", 5)
	for _, name := range scheduler.Presets() {
		p := preset(t, name)
		for _, r := range others[:4] { // the fifth, for fast-growing species, is a clearance to trim to
			if p.Wires.Approach < geo.Feet(r.number("ft")) {
				t.Errorf("%s: approach %s, %s is %s ft", name, p.Wires.Approach, r.text("figure"), r.text("ft"))
			}
		}
	}
	if got := feet(geo.Feet(others[4].number("ft"))); got != 15 {
		t.Errorf("fast-growing species: %d ft", got)
	}
}

// The published distances for people near lines hang together: equipment keeps
// at least the persons' distance up to 50 kV, a qualified worker never less than
// at the voltage below, and trimming clears more than a qualified worker keeps.
func TestWireTables(t *testing.T) {
	edge := 0.0
	last := 0.0
	for _, r := range table(t, "wires_equipment", 6) {
		if r.number("above_kv") != edge || r.number("ft") <= last {
			t.Errorf("equipment: %v", r.fields)
		}
		edge, last = r.number("to_kv"), r.number("ft")
		if mid := edge / math.Sqrt(3); r.number("ft") < approach(mid)-millimetre && edge <= 350 {
			t.Errorf("equipment to %g kV: %g ft, persons at %.1f kV to ground keep %.2f", edge, r.number("ft"), mid, approach(mid))
		}
	}
	trimming := table(t, "wires_trimming", 4)
	edge = 2.4
	for i, r := range trimming {
		if r.number("from_kv") != edge || r.number("case14_ft") <= r.number("case13_ft") {
			t.Errorf("trimming: %v", r.fields)
		}
		if r.has("to_kv") == (i == 3) {
			t.Errorf("trimming: only the last row is open: %v", r.fields)
		} else if i < 3 {
			edge = r.number("to_kv")
		}
	}
	read := 0
	before := map[string]float64{}
	for i, r := range table(t, "wires_qualified", 7) {
		if r.text("status") == "read" {
			read++
		}
		if i == 0 {
			if r.has("ground_m") || r.has("phase_ft") {
				t.Errorf("below 300 V contact is avoided: %v", r.fields)
			}
			continue
		}
		for _, to := range []string{"ground", "phase"} {
			m, ft := r.number(to+"_m"), r.number(to+"_ft")
			if m < before[to] || !near(ft, m/0.3048, 0.035) {
				t.Errorf("qualified, %s to %s kV: %g m is %s ft", r.text("from_kv"), r.text("to_kv"), m, strconv.FormatFloat(ft, 'f', 2, 64))
			}
			before[to] = m
		}
		if kv := r.number("to_kv"); kv > 2.4 && kv <= 72 && r.number("ground_ft") > trimming[0].number("case13_ft") {
			t.Errorf("a worker keeps more off %g kV than trimming clears", kv)
		}
	}
	if read != 2 {
		t.Errorf("%d rows were read, want two", read)
	}
}
