package storetest

import (
	"time"

	"limbround/geo"
	"limbround/scheduler"
)

// some makes one to four rows.
func (w *twin) some(make func() row) (rows []row) {
	for range 1 + w.rand.IntN(4) {
		rows = append(rows, make())
	}
	return rows
}

type field struct {
	name  string
	value any
}

// leaveOut is a row with the fields that the dice let stand.
func (w *twin) leaveOut(r row, fields ...field) row {
	for _, x := range fields {
		if w.rand.IntN(3) > 0 {
			r.f[x.name] = x.value
		}
	}
	return r
}

// treeRow is a row of one of few trees on few spots.
func (w *twin) treeRow() row {
	r := row{
		shape: point(pick(w, 40.0, 60, 100, 120, 300)+pick(w, 0.0, 0.2, 0.45, 0.8), pick(w, 106.0, 106.1, -94)),
		f:     f{"ref": pick(w, "PL-1", "PL-2", "PL-3", "PL-4", "PL-5", "PL-6", "N-1", "N-2", "N-3", "N-4")},
	}
	return w.leaveOut(
		r, field{"species", pick(w, "ACRU", "QUPA", "MALUS")}, field{"state", pick(w, "alive", "alive", "alive", "dead", "stump", "removed", "vacant")},
		field{"owner", pick(w, "city", "private")}, field{"address", pick(w, "2 Weir Street", "4 Weir Street")}, field{"stems", pick(w, int64(1), 2)},
		field{"stage", pick(w, "not_assessed", "establishing", "leader", "raising")}, field{"vigour", pick(w, "good", "fair", "poor")},
		field{"dbh_mm", pick(w, geo.Length(80), 120, 200)}, field{"height_mm", pick(w, geo.Length(4000), 7000)},
		field{"base_road_mm", pick(w, geo.Length(1500), 2500)}, field{"base_walk_mm", pick(w, geo.Length(1400), 2400)},
		field{"measured_on", scheduler.NewDate(pick(w, 2020, 2024, 2026), 6, 1)}, field{"planted", scheduler.NewDate(pick(w, 2015, 2019), 4, 1)},
		field{"planted_precision", pick(w, "day", "month", "season", "year")},
	)
}

func (w *twin) pastRow() row {
	r := past(pick(w, "h1", "p1", "p2", "p3", "p4", "p5"), pick(w, "PL-1", "PL-2", "PL-3", "PL-4", "N-1", "N-2"),
		pick(w, "training", "rotation_prune", "road_clearance", "inspection"), scheduler.NewDate(pick(w, 2018, 2022, 2024, 2026), time.Month(pick(w, 2, 11)), 5))
	return w.leaveOut(r, field{"live_crown_pct", pick(w, int64(10), 60)}, field{"minutes", pick(w, int64(12), 40)}, field{"note", "from the old book"},
		field{"stage", pick(w, "establishing", "leader", "temporaries")}, field{"dbh_mm", pick(w, geo.Length(0), 110)},
		field{"base_road_mm", pick(w, geo.Length(0), 1800)}, field{"base_walk_mm", pick(w, geo.Length(0), 1900)})
}

// groundRow changes what lies around the trees.
func (w *twin) groundRow() (string, row) {
	y := pick(w, 98.0, 100, 103, 107, 112)
	switch ref := pick(w, "b1", "b2", "g1"); w.rand.IntN(6) {
	case 0:
		return "streets", w.leaveOut(row{shape: line(0, y, 200, y), f: f{"ref": ref, "class": pick(w, "arterial", "residential", "alley")}},
			field{"width_mm", pick(w, geo.Length(8000), 12000)}, field{"parking", pick(w, "none", "left", "right", "both")}, field{"bus_route", true},
			field{"speed_kmh", pick(w, int64(30), 50)}, field{"name", pick(w, "Weir Street", "Dam Street")})
	case 1:
		return "districts", w.leaveOut(row{shape: box(pick(w, 0.0, 50), 0, pick(w, 110.0, 400), 400), f: f{"ref": pick(w, "north", "new"), "name": "Somewhere"}})
	case 2:
		return "walks", w.leaveOut(row{shape: line(0, y+2, 400, y+2), f: f{"ref": ref}}, field{"width_mm", pick(w, geo.Length(1200), 2400)})
	case 3:
		return "wires", w.leaveOut(row{shape: line(0, y+1, 400, y+1), f: f{"ref": ref, "class": pick(w, "communication", "primary", "unknown")}},
			field{"height_mm", pick(w, geo.Length(6000), 9000)}, field{"volts", int64(7200)})
	case 4:
		return "signs", row{shape: point(pick(w, 42.0, 110), y), f: f{"ref": ref, "kind": pick(w, "stop", "light")}}
	default:
		return "crews", w.leaveOut(row{f: f{"ref": pick(w, "t1", "c9"), "name": "Crew", "depot_ref": "yard", "people": int64(3)}},
			field{"skills", pick(w, "ground lift", "lift", "flying")}, field{"tickets", pick(w, "", "lift test=2028-01-31")})
	}
}

// dice makes a record about something.
func (w *twin) dice(r *scheduler.WorkRecord) {
	r.Outcome = pick(w, scheduler.OutcomeDone, scheduler.OutcomeDone, scheduler.OutcomePart, scheduler.OutcomeNotDone)
	if r.Outcome == scheduler.OutcomeNotDone {
		r.CouldNot, r.LiveCrown = pick(w, scheduler.CouldNots()...), 0
	}
	if r.Found = pick(w, "", "", "", "", scheduler.Alive, scheduler.Dead); r.Found == scheduler.Dead {
		r.LiveCrown = 0
	}
	if late := time.Duration(w.rand.IntN(3)*w.rand.IntN(72)) * time.Hour; late > 0 {
		r.Start, r.Finish = r.Start.Add(-late), r.Finish.Add(-late)
	}
	r.DBH, r.Height = pick(w, geo.Length(0), 90, 210), pick(w, geo.Length(0), 6100)
	r.BaseRoad, r.Stage = pick(w, geo.Length(0), 1600), pick(w, "", scheduler.StageTemporaries, scheduler.StageRaising)
	if w.rand.IntN(3) == 0 {
		r.VisitID, r.Kinds = 0, []scheduler.WorkKind{pick(w, scheduler.Training, scheduler.Inspection, scheduler.MakeSafe, scheduler.Removal,
			scheduler.Restoration, scheduler.Watering, scheduler.BasalSprouts)}
	}
	if w.rand.IntN(3) == 0 {
		r.Watch = append(r.Watch, scheduler.WatchFinding{
			Letter: pick(w, "", "", "A"), What: "competing leader", Diameter: pick(w, geo.Length(0), 40), Done: pick(w, "left", "removed"),
			Reduced: w.rand.IntN(2) == 0, Intent: pick(w, scheduler.RemoveLater, scheduler.HoldTier),
		})
	}
	if w.rand.IntN(5) == 0 {
		r.Hazard = &scheduler.Hazard{What: "hanging limb", Class: w.rand.IntN(2), CalledTo: "dispatcher on duty"}
	}
}
