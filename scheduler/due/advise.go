package due

import (
	"math"

	"limbround/geo"
	"limbround/scheduler"
)

// The advice on one branch.
//
// What stops the work is asked first and wins over everything. Dead wood is
// then settled: it costs no live crown and no season holds it. For live wood the
// role and the growth habit say what is wanted; the cut table says what a cut of
// this diameter and ratio allows; the growth of branch and stem says whether a
// removal in two steps will ever be a small cut; and last the dose, the side's
// part of it and the closed seasons say what of it may be done on the day.
//
// The share of the live crown that a branch carries is estimated, where nobody
// judged it, from the areas of the cross-sections: foliage is in proportion to
// the sapwood that feeds it (the pipe model, Shinozaki, Yoda, Hozumi & Kira 1964,
// Jap. J. Ecol. 14:97-105, from memory).

// adviser is the work on one question.
type adviser struct {
	d     *draft
	q     *Branch
	rules scheduler.AdviseRules
	w     scheduler.WatchItem // the branch as one seen on the day, for its growth
	kind  scheduler.WorkKind
	open  scheduler.Date // first day from the one asked about on which it may be cut

	row, judged, column int
	cell                cutCell
	out                 Advice
}

// Advise answers what to do with one branch or stem of a living tree on a day.
// A question that breaks rules is Invalid, as is one about a tree that is not alive.
func (e *Engine) Advise(t scheduler.Tree, s scheduler.Site, q Branch) (Advice, error) {
	q.bare()
	if err := q.check(); err != nil {
		return Advice{}, err
	}
	if t.State != "" && t.State != scheduler.Alive {
		return Advice{}, scheduler.Errorf(scheduler.Invalid, "tree %s: is on record as %s; advice is about a branch of a living tree", t.Ref, t.State)
	}
	d := &draft{tree: t, site: s, e: e, today: q.On}
	d.t, d.s = &d.tree, &d.site
	if d.p = e.species[t.Species]; d.p == nil {
		d.p = e.other
	}
	d.proj = d.p.curve.Project(t, d.undated())
	d.settle()
	a := &adviser{d: d, q: &q, rules: e.policy.Advise.WithDefaults()}
	if err := a.measure(); err != nil {
		return Advice{}, err
	}
	if !a.stopped() {
		a.whenOpen()
		a.finish(a.plan())
	}
	a.out.Foot = adviceFoot
	return a.out, nil
}

// measure works out the figures that every answer carries.
func (a *adviser) measure() error {
	d, q, o := a.d, a.q, &a.out
	trunk := d.at(q.On).DBH
	stem := q.Stem
	if stem == 0 {
		if trunk <= 0 {
			return &scheduler.Error{Kind: scheduler.Invalid, Message: "the question about the branch breaks rules", Fields: []scheduler.Fault{
				{Field: "stem_diameter_mm", Rule: "measure the parent stem just above the union, or give the trunk's diameter"},
			}}
		}
		stem = max(trunk, q.Diameter)
	}
	a.w = scheduler.WatchItem{What: a.growsAs(), Diameter: q.Diameter, StemDiameter: stem, SeenOn: q.On}
	if q.ReducedPct == 0 || q.ReducedPct >= a.rules.SlowsFrom {
		a.w.ReducedOn = q.ReducedOn
	}
	a.grown()
	stem = a.w.StemDiameter
	a.kind = workOf(q.Role, d.stage)
	a.row, a.judged = d.p.cuts.row(q.Diameter, d.p.species.Decay)
	if q.Role != BasalSprout {
		a.column = d.p.cuts.column(q.Diameter, stem)
	}
	a.cell = cutCells[a.judged][a.column]
	o.Row = a.text(d.rowText(a.row, a.judged, a.column))
	o.CutNow, o.RatioNow = q.Diameter, percent(float64(q.Diameter)/float64(stem))
	o.CloseNow = seasonsToClose(q.Diameter, d.t.Vigour)
	o.Call, o.Steps = []string{}, []AdviceStep{}
	o.NextVisit = a.nextVisit()
	o.CutNext, o.CloseNext = geo.None, o.CloseNow
	if d.proj.Known() && !d.p.curve.Palm() {
		next := d.branchAt(&a.w, o.NextVisit)
		o.CutNext, o.RatioNext = geo.Length(math.Round(next.branch)), percent(next.ratio())
		o.CloseNext = seasonsToClose(o.CutNext, d.t.Vigour)
	}
	a.share(trunk, stem)
	a.doses()
	return nil
}

// grown brings diameters that were measured earlier to the day asked about.
func (a *adviser) grown() {
	d, q, w := a.d, a.q, &a.w
	if q.SizedOn.IsZero() || q.SizedOn == q.On || !d.proj.Known() || d.p.curve.Palm() {
		return
	}
	w.SeenOn = q.SizedOn
	now := d.branchAt(w, q.On)
	a.because("advise.projected", d.say("Measured ").width(q.Diameter).str(" on ").day(q.SizedOn).str("; by its growth it is about ").
		width(geo.Length(math.Round(now.branch))).str(" now. Measure it again.").end(), "published growth curve "+d.p.curve.Name)
	w.SeenOn, q.Diameter, w.StemDiameter = q.On, geo.Length(math.Round(now.branch)), geo.Length(math.Round(now.stem))
	w.Diameter = q.Diameter
}

func percent(v float64) int { return int(math.Round(v * 100)) }

// growsAs is the word by which the growth rules tell a stem in equal light.
func (a *adviser) growsAs() string {
	switch {
	case a.q.Attitude == UprightStem, a.q.Role == CompetingLeader, a.q.Role == CompetingTop, a.q.Role == TheLeader, a.q.Role == BasalSprout:
		return "stem"
	}
	return "branch"
}

// workOf is the kind of work that a cut belongs to, by which seasons are closed.
func workOf(r BranchRole, s scheduler.Stage) scheduler.WorkKind {
	switch {
	case r == LaneSide:
		return scheduler.RoadClearance
	case r == WalkSide:
		return scheduler.WalkClearance
	case r == BasalSprout:
		return scheduler.BasalSprouts
	case s == scheduler.StageRotation:
		return scheduler.RotationPrune
	}
	return scheduler.Training
}

// nextVisit is the visit at which the branch would be cut if it is left today:
// the one that the rules foresee once today's is made.
func (a *adviser) nextVisit() scheduler.Date {
	if !a.q.NextVisit.IsZero() {
		return a.q.NextVisit
	}
	d, on := a.d, a.q.On
	t, s := d.tree, d.site
	t.LastVisit, t.LastTraining, t.LastRotation = on, on, on
	t.Watch, t.DoseUsed, t.DoseSeason = nil, 0, 0
	if t.Stage = d.stage; t.Stage == scheduler.StageUnknown || t.Stage == scheduler.StageEstablishing {
		t.Stage = scheduler.StageLeader
	}
	s.Owner = scheduler.OwnerCity
	next := scheduler.Date(0)
	for _, v := range d.e.Visits(t, s, on) {
		if w := v.Window.Due; w > on && (contains(v.Kinds, scheduler.Training) || contains(v.Kinds, scheduler.RotationPrune)) && (next == 0 || w < next) {
			next = w
		}
	}
	if next == 0 {
		next = addMonths(on, 12*d.interval())
	}
	return next
}

// text is a finished phrase as a string.
func (a *adviser) text(p phrase) string { return p.in(string(a.d.buf)) }

func (a *adviser) because(rule string, p phrase, source string) {
	if source == "" {
		source = commonPractice
	}
	a.out.Reasons = append(a.out.Reasons, scheduler.Reason{Rule: rule, Text: a.text(p), Source: source})
}
