package storetest

import (
	"fmt"
	"regexp"
	"time"

	"limbround/geo"
	"limbround/scheduler"
)

// rules are the sentences that hold for every state of the store. A write after
// which one does not hold is refused as a whole: two of what there is one of is a
// Clash, a value out of its bounds or a reference to nothing is Invalid.
type rules struct {
	s   *state
	one map[string]bool
	err error
}

func (s *state) broken() error {
	r := rules{s: s, one: map[string]bool{}}
	r.ground()
	r.trees()
	r.visits()
	r.plans()
	r.packets()
	r.records()
	return r.err
}

// once says that there is one thing of that description.
func (r *rules) once(format string, args ...any) {
	what := fmt.Sprintf(format, args...)
	if r.one[what] && r.err == nil {
		r.err = scheduler.Errorf(scheduler.Clash, "%s: there is one already", what)
	}
	r.one[what] = true
}

// must says that a sentence is true.
func (r *rules) must(holds bool, format string, args ...any) {
	if !holds && r.err == nil {
		r.err = scheduler.Errorf(scheduler.Invalid, format, args...)
	}
}

func (r *rules) ground() {
	for _, it := range r.s.items {
		r.once("%s %s", it.layer, it.ref)
		layer, _ := scheduler.LayerNamed(it.layer)
		for _, field := range layer.Fields {
			v, there := it.f[field.Name]
			r.must(there || !field.Required || field.Name == "ref", "%s %s: %s is missing", it.layer, it.ref, field.Name)
			n, counted := v.(int64)
			if l, ok := v.(geo.Length); ok {
				n, counted = int64(l), true
			}
			r.must(!counted || field.Max == 0 || float64(n) >= field.Min && float64(n) <= field.Max, "%s %s: %s %d", it.layer, it.ref, field.Name, n)
		}
	}
}

func (r *rules) trees() {
	for _, st := range r.s.sites {
		r.once("site %s", st.ref)
		r.must(st.at.Valid(), "site %s has no position", st.ref)
	}
	for _, t := range r.s.trees {
		r.once("tree %s", t.Ref)
		if upright(t.State) {
			r.once("standing tree on site %d", t.SiteID)
		}
		r.must(r.s.sites[t.SiteID].id != 0, "tree %s stands nowhere", t.Ref)
		r.must(t.State != scheduler.Alive || t.Species != "", "tree %s lives without a species", t.Ref)
		r.must(t.Species == "" || r.s.species[t.Species].Code != "", "tree %s: species %s", t.Ref, t.Species)
		r.must(t.DoseUsed >= 0 && t.DoseUsed <= 100, "tree %s: dose %d", t.Ref, t.DoseUsed)
		r.must(t.DBH <= 4*geo.Metre && t.Height <= 60*geo.Metre && max(t.BaseRoad, t.BaseWalk, t.Permanent) <= 30*geo.Metre, "tree %s: a size", t.Ref)
		r.must(t.Stems >= 1 && t.Stems <= 30, "tree %s: %d stems", t.Ref, t.Stems)
	}
	letters := regexp.MustCompile(`^[A-Z]{1,2}$`)
	for _, w := range r.s.watch {
		if !w.Resolved {
			r.once("watch item %s of tree %d", w.Letter, w.TreeID)
		}
		r.must(letters.MatchString(w.Letter) && w.What != "" && r.s.trees[w.TreeID].ID != 0, "watch item %q: %q", w.Letter, w.What)
	}
}

func (r *rules) visits() {
	inOrder := func(a, b scheduler.Date) bool { return a.IsZero() || b.IsZero() || a <= b }
	for _, v := range r.s.visits {
		if v.Progress == scheduler.Open {
			r.once("open visit of kind %s on tree %d", v.Kind, v.TreeID)
		}
		r.must(r.s.trees[v.TreeID].ID != 0 && r.s.sites[v.SiteID].id != 0, "visit %d is to no tree", v.ID)
		r.must(inOrder(v.Window.Earliest, v.Window.Due) && inOrder(v.Window.Due, v.Window.Latest), "visit %d: window %v", v.ID, v.Window)
		r.must(len(v.Kinds) > 0 && v.Class >= 0 && v.Class <= 4 && v.ChipsL >= 0, "visit %d: kinds, class or chips", v.ID)
		r.must(v.Minutes >= 0 && v.Minutes <= 1440 && v.Dose >= 0 && v.Dose <= 100, "visit %d: minutes or dose", v.ID)
		r.must(v.State != scheduler.Held || v.Hold != "", "visit %d is held without a reason", v.ID)
		r.must(v.State != scheduler.OverdueClosed || !v.ClosedTo.IsZero(), "visit %d is closed without an end", v.ID)
	}
}

func (r *rules) plans() {
	for _, p := range r.s.plans {
		r.once("version %d of plan %d", p.Version, p.Year)
		if p.State == scheduler.PlanAdopted {
			r.once("adopted plan of %d", p.Year)
			r.must(!p.Adopted.IsZero() && p.AdoptedBy != "", "plan %d is adopted by nobody", p.ID)
		}
		for _, l := range p.Lines {
			r.once("line of visit %d in plan %d", l.VisitID, p.ID)
			r.must(r.s.visits[l.VisitID].ID != 0, "plan %d: no visit %d", p.ID, l.VisitID)
			r.must(l.Week.IsZero() != (l.Carried == "") && l.Minutes >= 0, "plan %d: visit %d needs a week or a reason", p.ID, l.VisitID)
			r.must(l.Week.IsZero() || l.Week.Weekday() == time.Monday, "plan %d: %s is no Monday", p.ID, l.Week)
		}
	}
}

func (r *rules) packets() {
	for _, p := range r.s.packets {
		if p.State.Live() {
			r.once("live packet of crew %d on %s", p.CrewID, p.Day)
		}
		r.must(r.s.items[p.CrewID].layer == "crews", "packet %d: no crew %d", p.ID, p.CrewID)
		for i := range p.Stops {
			k := &p.Stops[i]
			if live(&p, k) {
				r.once("live stop of visit %d", k.VisitID)
			}
			r.once("stop %d of packet %d", k.Seq, p.ID)
			r.must(k.Seq > 0 && k.Arrive >= 0 && k.Arrive <= 2880, "packet %d: stop %d at minute %d", p.ID, k.Seq, k.Arrive)
			r.must((k.Kind == scheduler.StopTree) == (k.VisitID != 0) && (k.Kind == scheduler.StopDump) == (k.DumpID != 0), "packet %d: a stop of kind %s", p.ID, k.Kind)
			r.must(k.VisitID == 0 || r.s.visits[k.VisitID].ID != 0, "packet %d: no visit %d", p.ID, k.VisitID)
			r.must(k.DumpID == 0 || r.s.items[k.DumpID].layer == "dumps", "packet %d: no dump %d", p.ID, k.DumpID)
		}
	}
}

func (r *rules) records() {
	for i := range r.s.records {
		rec := &r.s.records[i].Record
		r.once("record %s", rec.ID)
		r.must(r.s.trees[rec.TreeID].ID != 0 && !rec.Finish.Before(rec.Start), "record %s: tree or times", rec.ID)
		r.must(rec.LiveCrown >= 0 && rec.LiveCrown <= 100, "record %s: live crown %d", rec.ID, rec.LiveCrown)
		r.must((rec.Outcome == scheduler.OutcomeNotDone) == (rec.CouldNot != "") || rec.Outcome == scheduler.OutcomePart, "record %s: code %q", rec.ID, rec.CouldNot)
	}
	for _, h := range r.s.hazards {
		r.must(h.Class == 0 || h.Class == 1, "hazard of class %d", h.Class)
		r.must(r.s.visits[h.visit].ID != 0 && !h.actBy.IsZero(), "hazard of record %s has no visit", h.record)
	}
	for _, x := range r.s.measures {
		r.must(r.s.trees[x.tree].ID != 0, "a measurement of no tree")
	}
	for _, fu := range r.s.follow {
		r.must(r.s.trees[fu.TreeID].ID != 0, "a follow-up of no tree")
	}
}
