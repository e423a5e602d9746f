package db_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"limbround/geo"
	"limbround/scheduler"
)

func TestReadsForThePacker(t *testing.T) {
	w := newTown(t)
	files := w.larkin()
	files["trees"], files["history"] = nil, nil
	w.loadAll(files)
	w.exec("INSERT INTO crew_day_off (crew_id, day, reason) SELECT id, '2026-07-03', 'holiday' FROM crew WHERE ref = 'c2'")
	ctx := t.Context()

	streets, err := w.Streets(ctx)
	if err != nil || len(streets) != 4 {
		t.Fatalf("streets: %d, %v", len(streets), err)
	}
	want := scheduler.Street{
		ID: streets[1].ID, Ref: "weir-2", Name: "Weir Street", Class: scheduler.Collector, OneWay: "no", SpeedKmh: 40, Width: geo.None,
		Parking: "none", MaxHeight: geo.None, Line: []geo.Point{at(0, 0), at(200, 0)},
	}
	if d := cmp.Diff(want, streets[1]); d != "" {
		t.Errorf("street (-want +got):\n%s", d)
	}
	depots, err := w.Depots(ctx)
	if err != nil || len(depots) != 1 || depots[0].Position != at(150, 150) {
		t.Errorf("depots: %+v, %v", depots, err)
	}
	dumps, err := w.Dumps(ctx)
	if err != nil || len(dumps) != 1 || dumps[0].Minutes != 25 || dumps[0].Position != at(-150, -150) {
		t.Errorf("dumps: %+v, %v", dumps, err)
	}
	crews, err := w.Crews(ctx)
	if err != nil {
		t.Fatal(err)
	}
	wantCrews := []scheduler.Crew{
		{
			Ref: "c1", Name: "Crew 1", DepotID: depots[0].ID, People: 2, Skills: []scheduler.Skill{scheduler.Ground},
			TruckL: 12000, TruckHeight: 3400, TruckKg: 11_500, ShiftStart: 420, ShiftMin: 480, YardMin: 45, BreakMin: 30, Weekdays: 31,
			Tickets: []scheduler.Ticket{
				{What: "first aid", Expires: scheduler.NewDate(2027, 1, 31)}, {What: "chipper", Expires: scheduler.NewDate(2026, 6, 30)},
			},
		},
		{
			Ref: "c2", Name: "Crew 2", DepotID: depots[0].ID, People: 3, Skills: []scheduler.Skill{scheduler.Ground, scheduler.Lift},
			TruckL: 12000, ShiftStart: 420, ShiftMin: 480, YardMin: 45, BreakMin: 30, Weekdays: 15,
			Tickets: []scheduler.Ticket{}, DaysOff: []scheduler.Date{scheduler.NewDate(2026, 7, 3)},
		},
	}
	for i := range wantCrews {
		if i < len(crews) {
			wantCrews[i].ID = crews[i].ID
		}
	}
	if d := cmp.Diff(wantCrews, crews); d != "" {
		t.Errorf("crews (-want +got):\n%s", d)
	}
	districts, err := w.Districts(ctx)
	if err != nil || len(districts) != 2 || districts[0].Name != "East" || districts[0].Version != 1 {
		t.Errorf("districts: %+v, %v", districts, err)
	}
	sections, err := w.Sections(ctx)
	if err != nil || len(sections) != 2 || sections[0].CycleYear != 1 || sections[1].Name != "" {
		t.Errorf("sections: %+v, %v", sections, err)
	}
}
