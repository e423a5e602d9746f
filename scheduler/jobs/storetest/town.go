package storetest

import (
	"slices"
	"testing"
	"time"

	"limbround/geo"
	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

// town is a small invented place in a store: two districts with a street each, a handful of
// trees, a depot, a dump and three crews. The clock stands still until a test moves it.
type town struct {
	Store
	t   *testing.T
	now time.Time
}

const (
	utm16           = 32616 // metres, zone 16 north
	eastOf, northOf = 482_000.0, 4_438_000.0
)

func newTown(t *testing.T, s Store) *town {
	t.Helper()
	w := &town{Store: s, t: t, now: time.Date(2026, time.November, 20, 15, 0, 0, 0, time.UTC)}
	w.must(s.SetCitySRID(t.Context(), utm16, w.stamp("clerk")))
	w.load("districts", row{shape: box(0, 0, 400, 400), f: f{"ref": "north", "name": "North"}},
		row{shape: box(0, -400, 400, 0), f: f{"ref": "south", "name": "South"}},
		row{shape: box(400, -400, 800, 400), f: f{"ref": "empty", "name": "Empty"}})
	w.load("sections", row{shape: box(0, -400, 800, 400), f: f{"ref": "s1", "cycle_year": int64(1)}})
	w.load("streets",
		row{shape: line(0, 100, 200, 100), f: street("b1", "Weir Street", "residential", "none", false)},
		row{shape: line(200, 100, 400, 100), f: street("b2", "Weir Street", "residential", "none", false)},
		row{shape: line(200, 100, 200, -100), f: street("b3", "Lock Lane", "residential", "both", false)},
		row{shape: line(200, -100, 0, -100), f: street("b4", "Mill Street", "arterial", "none", true)},
		row{shape: line(0, -100, 0, 100), f: street("b5", "Quay Street", "collector", "none", false)})
	w.load("depots", row{shape: point(10, 95), f: f{"ref": "yard", "name": "Quay yard"}})
	w.load("dumps", row{shape: point(390, 95), f: f{"ref": "tip", "name": "East tip", "minutes": int64(15)}})
	w.load("crews", row{f: crew("t1", "Training one", "ground", "first aid=2027-12-31")},
		row{f: crew("l1", "Lift one", "ground lift", "lift test=2027-06-30")},
		row{f: crew("l2", "Lift two", "ground lift", "lift test=2026-11-22")})
	w.load("trees",
		tree("PL-1", "MALUS", 100, -94, f{"planted": scheduler.NewDate(2019, 11, 1), "planted_precision": "day", "caliper_mm": geo.Length(45), "dbh_mm": geo.Length(106), "height_mm": geo.Length(4100), "base_road_mm": geo.Length(1600), "base_walk_mm": geo.Length(1600), "measured_on": scheduler.NewDate(2026, 6, 1), "stage": "leader", "stems": int64(2)}),
		tree("PL-2", "QUPA", 40, 106, f{"planted": scheduler.NewDate(2016, 11, 1), "planted_precision": "year", "caliper_mm": geo.Length(50), "dbh_mm": geo.Length(150), "height_mm": geo.Length(7200), "stage": "leader"}),
		tree("PL-3", "ACRU", 60, 106, f{"planted": scheduler.NewDate(2021, 4, 1), "planted_precision": "season", "caliper_mm": geo.Length(45), "dbh_mm": geo.Length(70), "height_mm": geo.Length(4600), "stage": "leader"}),
		tree("PL-4", "TICO", 300, 106, f{"dbh_mm": geo.Length(420), "height_mm": geo.Length(12500)}),
		tree("PL-5", "GLTR", 320, 106, f{"owner": "private", "dbh_mm": geo.Length(300)}),
		tree("PL-6", "FRPE", 340, 106, f{"state": "dead", "dbh_mm": geo.Length(380), "height_mm": geo.Length(11000)}))
	w.load("history",
		past("h1", "PL-1", "training", scheduler.NewDate(2023, 3, 2)),
		past("h2", "PL-2", "training", scheduler.NewDate(2020, 12, 8)),
		past("h3", "PL-3", "training", scheduler.NewDate(2023, 11, 20)))
	return w
}

func past(ref, tree, kind string, on scheduler.Date) row {
	return row{f: f{"ref": ref, "tree_ref": tree, "kind": kind, "done_on": on, "live_crown_pct": int64(20), "by_whom": "R. Osei"}}
}

func street(ref, name, class, parking string, bus bool) f {
	return f{"ref": ref, "name": name, "class": class, "one_way": "no", "parking": parking, "bus_route": bus, "truck_route": false, "bridge": false, "width_mm": geo.Length(10_000)}
}

func crew(ref, name, skills, tickets string) f {
	return f{
		"ref": ref, "name": name, "depot_ref": "yard", "people": int64(2), "skills": skills, "truck_chips_l": int64(12000),
		"shift_start": int64(420), "shift_minutes": int64(480), "yard_minutes": int64(45), "break_minutes": int64(30),
		"weekdays": int64(31), "tickets": tickets,
	}
}

func tree(ref, species string, x, y float64, more f) row {
	all := f{"ref": ref, "species": species, "state": "alive", "owner": "city", "stems": int64(1), "stage": "not_assessed", "vigour": "good"}
	for k, v := range more {
		all[k] = v
	}
	return row{shape: point(x, y), f: all}
}

// f are the fields of a row by name.
type f map[string]any

type row struct {
	shape geo.Shape
	f     f
}

// load imports rows into a layer; all of them must be accepted.
func (w *town) load(layer string, rows ...row) {
	w.t.Helper()
	w.imported(layer, rows...)
}

func at(x, y float64) geo.Point    { return geo.Point{X: eastOf + x, Y: northOf + y} }
func point(x, y float64) geo.Shape { return geo.NewPoint(utm16, at(x, y)) }

func line(xy ...float64) geo.Shape {
	var pts []geo.Point
	for i := 0; i < len(xy); i += 2 {
		pts = append(pts, at(xy[i], xy[i+1]))
	}
	return geo.NewLine(utm16, pts)
}

func box(x0, y0, x1, y1 float64) geo.Shape {
	return geo.NewArea(utm16, [][]geo.Point{{at(x0, y0), at(x1, y0), at(x1, y1), at(x0, y1), at(x0, y0)}})
}

func (w *town) clock() time.Time      { return w.now }
func (w *town) today() scheduler.Date { return scheduler.DateOf(w.now) }
func (w *town) days(n int)            { w.now = w.now.AddDate(0, 0, n) }
func (w *town) stamp(actor string) scheduler.Stamp {
	return scheduler.Stamp{Actor: actor, At: w.now}
}

func (w *town) must(err error) {
	w.t.Helper()
	if err != nil {
		w.t.Fatalf("%v (%s)", err, scheduler.KindOf(err))
	}
}

// wants fails the test unless err is of the kind.
func (w *town) wants(kind scheduler.Kind, err error) {
	w.t.Helper()
	if scheduler.KindOf(err) != kind {
		w.t.Fatalf("got %v (%s), want %s", err, scheduler.KindOf(err), kind)
	}
}

func (w *town) due(refs ...string) jobs.DueResult {
	w.t.Helper()
	r, err := jobs.Due{Store: w, Now: w.clock}.Run(w.t.Context(), jobs.DueRequest{Trees: refs, Full: len(refs) == 0, Explain: len(refs) > 0, Actor: "night"})
	w.must(err)
	return r
}

func (w *town) treeNamed(ref string) scheduler.Tree {
	w.t.Helper()
	ts, err := w.TreeByRef(w.t.Context(), ref)
	w.must(err)
	return ts.Tree
}

// open returns the tree's open visits by kind.
func (w *town) open(ref string) map[scheduler.WorkKind]scheduler.Visit {
	w.t.Helper()
	list, err := w.VisitsOfTree(w.t.Context(), w.treeNamed(ref).ID, false)
	w.must(err)
	byKind := map[scheduler.WorkKind]scheduler.Visit{}
	for _, v := range list {
		byKind[v.Kind] = v
	}
	return byKind
}

// lead returns the tree's most urgent open visit.
func (w *town) lead(ref string) scheduler.Visit {
	w.t.Helper()
	list, err := w.VisitsOfTree(w.t.Context(), w.treeNamed(ref).ID, false)
	w.must(err)
	if len(list) == 0 {
		w.t.Fatalf("tree %s has no open visit", ref)
	}
	return list[0]
}

// crewNamed finds a crew by its ref.
func (w *town) crewNamed(ref string) scheduler.Crew {
	w.t.Helper()
	list, err := w.Crews(w.t.Context())
	w.must(err)
	i := slices.IndexFunc(list, func(c scheduler.Crew) bool { return c.Ref == ref })
	if i < 0 {
		w.t.Fatalf("no crew %s", ref)
	}
	return list[i]
}
