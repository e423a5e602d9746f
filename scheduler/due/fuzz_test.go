package due

import (
	"encoding/binary"
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

// bytesOf deals out a fuzz input as the facts of a tree; it yields zeros at the end.
type bytesOf struct{ b []byte }

func (f *bytesOf) next(n int) int {
	var w [2]byte
	f.b = f.b[copy(w[:], f.b):]
	return int(binary.LittleEndian.Uint16(w[:])) % n
}

func (f *bytesOf) date() scheduler.Date {
	if f.next(3) == 0 {
		return 0
	}
	return day("1960-01-01") + scheduler.Date(f.next(90*365))
}

func (f *bytesOf) length(most int) geo.Length {
	if f.next(3) == 0 {
		return geo.None
	}
	return geo.Length(f.next(most))
}

func pick[T any](f *bytesOf, list ...T) T { return list[f.next(len(list))] }

func (f *bytesOf) tree(codes []string) scheduler.Tree {
	t := scheduler.Tree{
		ID: 7, SiteID: 9, Species: pick(f, codes...),
		State:   pick(f, scheduler.Alive, scheduler.Alive, scheduler.Alive, scheduler.Dead, scheduler.Stump, scheduler.Removed, scheduler.Vacant),
		Stage:   pick(f, scheduler.StageUnknown, scheduler.StageEstablishing, scheduler.StageLeader, scheduler.StageTemporaries, scheduler.StageRaising, scheduler.StageRotation),
		Vigour:  pick(f, scheduler.VigourGood, scheduler.VigourFair, scheduler.VigourPoor),
		Planted: f.date(), Caliper: f.length(300), DBH: f.length(2000), Height: f.length(40000), Crown: f.length(30000), MeasuredOn: f.date(),
		BaseRoad: f.length(8000), BaseWalk: f.length(8000), BaseOn: f.date(), Permanent: f.length(8000),
		LastTraining: f.date(), LastRotation: f.date(), LastRaise: f.date(), LastVisit: f.date(),
		DoseSeason: 2020 + f.next(12), DoseUsed: f.next(60),
	}
	t.BrokenOn, t.LastRestored, t.LastInspected, t.LastWatered, t.LastSprouts = f.date(), f.date(), f.date(), f.date(), f.date()
	t.Precision = pick(f, scheduler.PreciseDay, scheduler.PreciseYear, scheduler.PreciseNone)
	for i := range f.next(5) {
		t.Watch = append(t.Watch, scheduler.WatchItem{
			Letter: string(rune('A' + i)), What: pick(f, "competing leader", "temporary branch", "union", "codominant stem"), Height: f.length(8000), Side: scheduler.SideRoad,
			Diameter: f.length(200), StemDiameter: f.length(400), Intent: pick(f, scheduler.RemoveLater, scheduler.HoldTier, scheduler.DecideNext, scheduler.WatchOnly),
			ReducedOn: f.date(), SeenOn: f.date(), NextCheck: f.date(), Resolved: f.next(4) == 0, IncludedBark: f.next(2) == 0,
		})
	}
	return t
}

func (f *bytesOf) site() scheduler.Site {
	return scheduler.Site{
		Owner:       pick(f, scheduler.OwnerCity, scheduler.OwnerCity, scheduler.OwnerShared, scheduler.OwnerUtility),
		StreetClass: pick(f, scheduler.Arterial, scheduler.Collector, scheduler.Residential, scheduler.Alley, ""),
		BusRoute:    f.next(2) == 0, Parking: f.next(2) == 0, InSight: f.next(3) == 0,
		ToCurb: f.length(9000), ToLane: f.length(12000), HalfRoad: f.length(9000), ToWalk: f.length(9000),
		WireClass: pick(f, scheduler.WireNone, scheduler.WirePrimary, scheduler.WireUnknown, scheduler.WireComms, scheduler.WireService),
		ToWire:    f.length(9000), WireHeight: f.length(15000), ToSign: f.length(9000), ToLight: f.length(9000),
	}
}

// FuzzVisits: whatever the facts, the visits keep what other parts rely on.
func FuzzVisits(f *testing.F) {
	e := presetEngine(f, "lower-midwest", nil)
	codes := []string{"ACRU", "QUPA", "MALUS", "ACSA1", "PIPU", "SAPA", "ZESE", "LAIN", "ULAM", "none such", "TICO"}
	f.Add([]byte{})
	f.Add([]byte("an ordinary street tree, planted some years ago and trained twice since, under a wire"))
	f.Add([]byte("\x01\x00\x00\x00\x05\x00\x00\x00\x07\x10\x33\x70\x01\x00\x20\x00\x01\x00\x40\x01\x02\x00\xff\x1f\x02\x00\x00\x10\x01\x00\x00\x60\x02\x00\x00\x08"))
	f.Fuzz(func(t *testing.T, b []byte) {
		in := &bytesOf{b}
		tree, site := in.tree(codes), in.site()
		today := day("2026-01-01") + scheduler.Date(in.next(3650))
		visits := e.Visits(tree, site, today)
		gone := tree.State == scheduler.Removed || tree.State == scheduler.Vacant
		if gone != (len(visits) == 0) {
			t.Fatalf("%s: %d visits", tree.State, len(visits))
		}
		leads := map[scheduler.WorkKind]bool{}
		for _, v := range visits {
			if leads[v.Kind] {
				t.Fatalf("two visits led by %s", v.Kind)
			}
			leads[v.Kind] = true
			check(t, e, &tree, v, today)
		}
		if len(visits) > 0 && tree.State == scheduler.Alive {
			e.Calendar(tree, site, today, 8) // must end
		}
	})
}

func check(t *testing.T, e *Engine, tree *scheduler.Tree, v scheduler.Visit, today scheduler.Date) {
	t.Helper()
	w := v.Window
	if v.State == scheduler.NotOurs {
		return
	}
	switch {
	case w.Earliest > w.Due || w.Due > w.Latest || w.Earliest <= 0:
		t.Fatalf("%s: window out of order: %+v", v.Kind, w)
	case v.Kinds[0] != v.Kind || len(v.Kinds) > maxTasks:
		t.Fatalf("kinds %v led by %s", v.Kinds, v.Kind)
	case v.Class < 0 || v.Class > 4 || v.Minutes < 1 || v.Minutes > 1440 || v.ChipsL < 0 || v.Dose < 0 || v.Dose > 100:
		t.Fatalf("%s: class %d, %d minutes, %d l, dose %d", v.Kind, v.Class, v.Minutes, v.ChipsL, v.Dose)
	case (v.State == scheduler.OverdueClosed) != (v.ClosedTo > today):
		t.Fatalf("%s closed until %s on %s", v.State, v.ClosedTo, today)
	case (v.State == scheduler.Overdue || v.State == scheduler.OverdueClosed) != (w.Latest < today && v.State != scheduler.NotAssessed):
		t.Fatalf("%s on %s with %+v", v.State, today, w)
	case len(v.Objectives) == 0 || len(v.Objectives) > mostObjectives || len(v.Reasons) < 2 || v.Season == "":
		t.Fatalf("%s: %d objectives, %d reasons, season %q", v.Kind, len(v.Objectives), len(v.Reasons), v.Season)
	case tree.Vigour == scheduler.VigourPoor && v.Dose != 0:
		t.Fatalf("a crown under stress gives %d %%", v.Dose)
	}
	if _, span, ok := strings.Cut(v.Season, ", "); ok {
		if from, to, _ := strings.Cut(span, " to "); from == to {
			t.Fatalf("%s: a season of one day: %q", v.Kind, v.Season)
		}
	}
	for _, r := range v.Reasons {
		if r.Rule == "" || r.Text == "" || r.Source == "" {
			t.Fatalf("a reason without rule, text or source: %+v", r)
		}
	}
	if p := e.species[tree.Species]; p != nil && v.State == scheduler.Overdue {
		for _, k := range v.Kinds {
			if p.closing(k, today) != nil {
				t.Fatalf("%s is called workable on %s, in a closed season", k, today)
			}
		}
	}
}

func BenchmarkVisits(b *testing.B) {
	e := presetEngine(b, "lower-midwest", nil)
	near := maple()
	near.BaseRoad, near.BaseWalk, near.BaseOn = 3000, 3000, day("2026-01-14")
	near.LastRaise = near.BaseOn
	oak := near
	oak.Species = "QUPA"
	watched := near
	watched.Watch = []scheduler.WatchItem{item("A", "competing leader", 20, 70, scheduler.RemoveLater, "2026-01-14"), item("B", "competing top", 56, 70, scheduler.HoldTier, "2026-01-14")}
	unseen := bare("ACRU")
	unseen.DBH, unseen.MeasuredOn = 300, day("2025-06-01")
	for _, c := range []struct {
		name string
		tree scheduler.Tree
	}{{"training", near}, {"closed_season", oak}, {"watch_items", watched}, {"not_assessed", unseen}} {
		b.Run(c.name, func(b *testing.B) {
			site := parkingLane(street())
			b.ReportAllocs()
			for b.Loop() {
				e.Visits(c.tree, site, day("2026-11-25"))
			}
		})
	}
}
