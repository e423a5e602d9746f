package sheet

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"limbround/geo"
	"limbround/scheduler"
)

var update = flag.Bool("update", false, "rewrite the golden pages")

// crabapple is a young tree with two tops and included bark by a bus lane,
// after the visit that held one stem and left another branch for later.
func crabapple() Packet {
	day := scheduler.NewDate(2026, 11, 30)
	tree := scheduler.Tree{
		ID: 7, Ref: "PL-000001", Species: "MALUS", Stems: 2, DBH: geo.Centimetres(10.6), Height: geo.Metres(4.1),
		MeasuredOn: scheduler.NewDate(2026, 8, 3), BaseRoad: geo.Metres(1.6), BaseWalk: geo.Metres(1.9),
		LastVisit: scheduler.NewDate(2024, 2, 12), Permanent: geo.None,
		Watch: []scheduler.WatchItem{
			{Letter: "A", What: "competing leader", Height: geo.Metres(1.8), Side: scheduler.SideUpStreet, Diameter: 56, StemDiameter: 70, IncludedBark: true, Done: "reduced by half", Intent: scheduler.HoldTier},
			{Letter: "B", What: "temporary branch <low>", Height: geo.Metres(1.4), Side: scheduler.SideRoad, Diameter: 24, StemDiameter: 90, Done: "reduced to a side branch", Intent: scheduler.RemoveLater},
		},
	}
	visit := scheduler.Visit{
		ID: 41, TreeID: 7, Kind: scheduler.Training, Kinds: []scheduler.WorkKind{scheduler.Training, scheduler.RoadClearance},
		Window: scheduler.Window{Due: scheduler.NewDate(2027, 3, 31), Latest: scheduler.NewDate(2028, 3, 31)},
		Season: "dormant season 2026/27, 1 Nov to 31 Mar", Skill: scheduler.Ground, Minutes: 9, Dose: 25,
		Objectives: []string{"Re-reduce A (held as lower tier).", "Remove B: it is still under 25 mm."},
		Limits:     []string{"largest cut preferred 25 mm, call above 50 mm"},
		Cautions:   []string{"Bus lane at the curb: traffic plan before the first cut."},
		Reasons:    []scheduler.Reason{{Rule: "training.interval", Text: "Two growing seasons since the last training visit.", Source: "policy"}},
	}
	walk := scheduler.HeightRule{Legal: geo.Feet(8), ActAt: geo.Feet(8.5), ClearTo: geo.Feet(9)}
	road := scheduler.HeightRule{Legal: geo.Feet(14), ActAt: geo.Feet(14.5), ClearTo: geo.Feet(15)}
	stop := scheduler.Stop{ID: 1, Seq: 1, Kind: scheduler.StopTree, VisitID: 41, Arrive: 485, Drive: 6, SetUp: 25, Work: 9}
	at := geo.Point{X: 654000, Y: 4439000}
	return Packet{
		City:   scheduler.City{Name: "Port Larkin", Units: "us", Emergency: "911", Hospital: "Larkin General, 12 Weir Street", UtilityPhone: "555 0100"},
		Packet: scheduler.Packet{ID: 3, Day: day, State: scheduler.PacketIssued, Minutes: scheduler.Minutes{Yard: 45, Drive: 12, SetUp: 25, Work: 9, Break: 30, Slack: 359}, Bound: 118, Stops: []scheduler.Stop{stop, {ID: 2, Seq: 2, Kind: scheduler.StopDump, DumpID: 1, Arrive: 530, Work: 20}}},
		Crew:   scheduler.Crew{Name: "Pickup 1", People: 2, ShiftStart: 420, ShiftMin: 480}, Depot: "North yard", Dumps: map[int64]string{1: "Mill Lane chip yard"},
		Cards: []Card{{
			Stop: stop, Visit: visit, Tree: tree, Work: 34, Walk: walk, Road: road, Signs: "No parking 07:00 to 15:00, valid until 2026-12-01.",
			Site:    scheduler.Site{Address: "214 Weir Street", Position: at, StreetClass: scheduler.Arterial, SpeedKmh: 56, BusRoute: true, StreetSide: scheduler.SideLeft},
			Species: scheduler.Species{Code: "MALUS", Scientific: "Malus spp.", Common: "crabapple"},
		}},
		Streets: []Street{{Name: "Weir Street", Main: true, Line: []geo.Point{{X: 653940, Y: 4438990}, {X: 654060, Y: 4438996}}}},
		Start:   geo.Point{X: 653970, Y: 4438960}, Policy: "Lower Midwest, 2026", Printed: scheduler.NewDate(2026, 11, 27), CardURL: "http://127.0.0.1:8470/card/",
	}
}

func TestRenderPrintsThePacket(t *testing.T) {
	var got bytes.Buffer
	if err := Render(&got, crabapple()); err != nil {
		t.Fatal(err)
	}
	golden := filepath.Join("testdata", "crabapple.html")
	if *update {
		if err := os.WriteFile(golden, got.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(string(want), got.String()); d != "" {
		t.Errorf("page differs (-golden +got); -update rewrites it:\n%s", d)
	}
}

// The card's blocks come in the order that a crew leader needs them.
func TestCardKeepsItsOrder(t *testing.T) {
	var b bytes.Buffer
	if err := Render(&b, crabapple()); err != nil {
		t.Fatal(err)
	}
	page := b.String()
	at := strings.Index(page, "<article")
	for _, block := range []string{"PL-000001", "What can hurt you", "Why today", "What the last visit left", "Today, in this order", "Limits", "What stays", "found last time", "No parking 07:00", "To write down", "does not say that the tree is sound"} {
		i := strings.Index(page[at:], block)
		if i < 0 {
			t.Fatalf("%q is missing or out of order", block)
		}
		at += i
	}
	if strings.Contains(page, "branch <low>") {
		t.Error("text from the database is not escaped")
	}
}

func TestUnitsFollowTheCity(t *testing.T) {
	for _, tc := range []struct {
		us   bool
		l    geo.Length
		want string
	}{
		{true, geo.Feet(14), "14 ft"}, {true, geo.Metres(2.5), "8 ft 2 in"}, {false, geo.Metres(2.5), "2.50 m"}, {true, geo.None, "not recorded"},
	} {
		if got := (units{tc.us}).height(tc.l); got != tc.want {
			t.Errorf("height(%d) = %q, want %q", tc.l, got, tc.want)
		}
	}
}
