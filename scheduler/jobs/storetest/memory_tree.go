package storetest

import (
	"reflect"

	"limbround/geo"
	"limbround/scheduler"
)

// treeRow is a tree as it is kept; its watch items have a table of their own.
type treeRow struct {
	scheduler.Tree
	revision int
	batch    int64
}

type measureRow struct {
	id, tree, batch int64
	scheduler.Measurement
}

// upright reports whether something of the tree stands on its site.
func upright(s scheduler.TreeState) bool {
	return s == scheduler.Alive || s == scheduler.Dead || s == scheduler.Stump
}

func (s *state) treeNamed(ref string) (treeRow, bool) {
	for _, t := range s.trees {
		if t.Ref == ref {
			return t, true
		}
	}
	return treeRow{}, false
}

// wantTree is what a row of a tree file would make of a tree and its site.
type wantTree struct {
	have        treeRow // zero for a new tree
	tree        scheduler.Tree
	site        siteRow // the site it stands on or is put on; no id for one of its own
	share       *judged // the row of the file whose new site it shares
	isNew       bool
	treeDiffers bool
	siteDiffers bool
	moved       bool
	measured    scheduler.Measurement
}

// wantOf applies the rule that measured facts count only when the file does not
// say that they are older than what is known. anchor is the site for a new tree, 0 for none.
func (s *state) wantOf(j *judged, anchor int64) wantTree {
	have, known := s.treeNamed(j.ref)
	w := wantTree{have: have, tree: have.Tree, isNew: !known}
	if !known {
		w.tree = scheduler.Tree{
			Ref: j.ref, State: scheduler.Alive, Precision: scheduler.PreciseNone, Caliper: geo.None, Stems: 1, Stage: scheduler.StageUnknown,
			Vigour: scheduler.VigourGood, DBH: geo.None, Height: geo.None, Crown: geo.None, BaseRoad: geo.None, BaseWalk: geo.None, Permanent: geo.None,
		}
	}
	t, on := &w.tree, of(j.f, "measured_on", scheduler.Date(0))
	notOlder := func(than scheduler.Date) bool { return than.IsZero() || !on.IsZero() && on >= than }
	size := func(field string) geo.Length { return of(j.f, field, geo.None) }
	fresh := notOlder(have.LastVisit)
	t.Species = of(j.f, "species", t.Species)
	t.Caliper, t.Stems = of(j.f, "caliper_mm", t.Caliper), int(of(j.f, "stems", int64(t.Stems)))
	if d, there := j.f["planted"].(scheduler.Date); there {
		t.Planted, t.Precision = d, scheduler.Precision(of(j.f, "planted_precision", "day"))
	}
	if v, there := j.f["vigour"].(string); there && fresh {
		t.Vigour = scheduler.Vigour(v)
	}
	s.wantState(j, t, known, fresh)
	w.measured = scheduler.Measurement{
		On: on, Source: "import", DBH: size("dbh_mm"), Height: size("height_mm"), Crown: size("crown_spread_mm"),
		BaseRoad: size("base_road_mm"), BaseWalk: size("base_walk_mm"),
	}
	take := func(to *geo.Length, l geo.Length) {
		if l.Known() {
			*to = l
		}
	}
	if m := &w.measured; max(m.DBH, m.Height, m.Crown).Known() && notOlder(have.MeasuredOn) {
		take(&t.DBH, m.DBH)
		take(&t.Height, m.Height)
		take(&t.Crown, m.Crown)
		t.MeasuredOn = on
	}
	if m := &w.measured; max(m.BaseRoad, m.BaseWalk).Known() && notOlder(have.BaseOn) {
		take(&t.BaseRoad, m.BaseRoad)
		take(&t.BaseWalk, m.BaseWalk)
		t.BaseOn = on
	}
	w.treeDiffers = known && !reflect.DeepEqual(have.Tree, *t)
	s.wantSite(j, &w, known, anchor)
	return w
}

// wantState settles state and stage: the file's judgement counts when it is not
// older than the last visit; a stage that was reached is not taken back by one.
func (s *state) wantState(j *judged, t *scheduler.Tree, known, fresh bool) {
	states := []scheduler.TreeState{scheduler.Alive, scheduler.Dead, scheduler.Stump, scheduler.Removed, scheduler.Vacant}
	rank := map[scheduler.TreeState]int{}
	for i, x := range states {
		rank[x] = i
	}
	if v, there := j.f["state"].(string); there {
		want := scheduler.TreeState(v)
		switch {
		case known && want == scheduler.Vacant && s.others(t.SiteID, t.ID, upright) > 0:
		case !known || fresh || rank[want] > rank[t.State]:
			t.State = want
		}
	}
	stages := scheduler.Stages()
	stage := map[scheduler.Stage]int{}
	for i, x := range stages {
		stage[x] = i
	}
	want := scheduler.Stage(of(j.f, "stage", string(scheduler.StageUnknown)))
	if want != scheduler.StageUnknown && (t.LastVisit.IsZero() || fresh && stage[want] > stage[t.Stage]) {
		t.Stage = want
	}
}

// wantSite settles the site. A row speaks for it when its tree stands there, or
// is the only one.
func (s *state) wantSite(j *judged, w *wantTree, known bool, anchor int64) {
	before, there := s.sites[w.tree.SiteID]
	if !there {
		before, there = s.sites[anchor]
	}
	w.site = before
	if !there {
		w.site = siteRow{ref: j.ref, owner: scheduler.OwnerCity}
	}
	speaks := !there || upright(w.tree.State) || known && s.others(before.id, w.tree.ID, func(scheduler.TreeState) bool { return true }) == 0
	if !speaks {
		return
	}
	w.site.owner = scheduler.Owner(of(j.f, "owner", string(w.site.owner)))
	w.site.address = of(j.f, "address", w.site.address)
	if j.placed && (!there || before.at.Distance(j.at.pts[0]) > 0.001) { // a millimetre is the noise of a projection
		w.site.at = j.at.pts[0]
	}
	w.siteDiffers = there && w.site != before
	w.moved = there && known && w.site.at != before.at
}

// others counts the other trees of a site in a state that take answers yes to.
func (s *state) others(site, but int64, take func(scheduler.TreeState) bool) int {
	n := 0
	for _, o := range s.trees {
		if o.SiteID == site && o.ID != but && take(o.State) {
			n++
		}
	}
	return n
}
