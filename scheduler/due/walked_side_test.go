package due

import (
	"math"

	"limbround/geo"
	"limbround/scheduler"
)

// walked is a side with everything that its crown is laid over, in plain mm.
type walked struct {
	edge, far, gutter float64
	low, high         [2]float64 // legal, act at
	base              float64
	baseOn, cut       scheduler.Date
	interval          int
	droop, rise       float64 // rise: share of the radius
	slowed            float64
	sightHigh         float64 // a base below it is not let wait; 0 outside sight triangles
	fact              scheduler.Date
	first, last       int
	mature, lcr       float64
	permanent, cap    float64
	backs             []float64 // how far the last clearance cut back, with slack; infinite for not at all
	known             map[question]bool
}

// walkedOf collects a side from the facts and the policy; false where nothing is asked for.
func walkedOf(d *draft, p *scheduler.Policy, k scheduler.WorkKind) (walked, bool) {
	s, t := d.s, d.t
	pr := p.Practice.WithDefaults()
	w := walked{
		known: map[question]bool{},
		droop: float64(d.p.species.Droop), rise: float64(pr.CrownRisePct) / 100, slowed: float64(pr.ReducedPct) / 100,
		mature: float64(d.p.species.MatureHeight), lcr: float64(p.Training.LiveCrownMin), permanent: float64(t.Permanent), baseOn: t.BaseOn, cut: t.LastRaise,
	}
	heights := func(h scheduler.HeightRule) [2]float64 { return [2]float64{float64(h.Legal), float64(h.ActAt)} }
	if k == scheduler.WalkClearance {
		if !s.ToWalk.Known() {
			return w, false
		}
		w.edge, w.far, w.base = float64(s.ToWalk), float64(s.ToWalk), float64(t.BaseWalk)
		w.low, w.high = heights(p.Clearance.Walk), heights(p.Clearance.Walk)
	} else {
		var road *scheduler.RoadRule
		for i := range p.Clearance.Roads {
			if p.Clearance.Roads[i].Class == s.StreetClass {
				road = &p.Clearance.Roads[i]
			}
		}
		if road == nil || !s.ToCurb.Known() {
			return w, false
		}
		w.edge, w.far, w.gutter, w.base = float64(s.ToCurb), float64(s.ToLane), float64(pr.LaneTolerance), float64(t.BaseRoad)
		w.low, w.high = heights(road.AtCurb), heights(road.AtLane)
		if road.ToCentre {
			w.far = float64(s.ToCurb + s.HalfRoad)
		}
		tall := false
		for _, h := range []struct {
			here bool
			rule scheduler.HeightRule
		}{{s.BusRoute, road.BusLane}, {s.TruckRoute, road.TruckLane}} {
			if h.here && h.rule.Legal > 0 {
				tall = true
				for i, v := range heights(h.rule) {
					w.high[i] = math.Max(w.high[i], v)
				}
			}
		}
		if tall {
			w.far = float64(s.ToLane)
			if s.ToLane == s.ToCurb {
				w.low = w.high
			}
		}
	}
	w.interval = p.Clearance.LookAhead
	for _, st := range p.Training.Stages {
		if st.Stage == d.stage {
			w.interval = st.Seasons
			if st.Stage == scheduler.StageEstablishing {
				continue
			}
			if d.p.species.Growth == "slow" && st.Seasons < 5 { // a season more, up to 5
				w.interval++
			}
		}
	}
	if s.InSight {
		w.sightHigh = float64(p.Clearance.SightHigh)
	}
	volts := 0
	for v := s.WireVolts; v > 50_000; v -= 10_000 {
		volts++
	}
	approach := float64(p.Wires.Approach) + math.Ceil(101.6*float64(volts))
	if s.WireClass != scheduler.WireNone && s.WireClass != scheduler.WireComms && s.WireHeight.Known() && s.ToWire.Known() &&
		float64(s.ToWire) < approach && float64(s.WireHeight) > approach {
		w.cap = float64(s.WireHeight) - approach
		if w.mature <= 0 || w.mature > w.cap {
			w.mature = w.cap // the top is held there for good
		}
	}
	if w.permanent < attachment(d, p, w.mature) {
		w.permanent = 0 // attached too low to stay: it counts as temporary
	}
	w.fact = max(t.BaseOn, t.LastRaise)
	w.first = d.e.cal.counted(w.fact)
	y, _, _ := civil(addMonths(max(d.tasks[0].w.Due, w.fact), 12*w.interval))
	w.last = min(y, w.first+40)
	return w, true
}

// slack is how much wider and lower the crown is taken than it is: +1 and -1
// bound what whole millimetres can do.
type slack float64

const (
	slackRadius = 0.6
	slackBase   = 2
	slackReach  = 3
)

func (w *walked) radius(d *draft, on scheduler.Date, z slack) float64 {
	return math.Max(0, float64(d.proj.At(on).Crown)/2) + slackRadius*float64(z)
}

// hangs is the height of the foliage at the trunk on a day.
func (w *walked) hangs(d *draft, on scheduler.Date, z slack) float64 {
	base := w.base - slackBase*float64(z)
	if now, then := w.radius(d, on, 0), w.radius(d, w.baseOn, 0); on > w.baseOn && now > then {
		base -= w.droop * (now - then) / now
	}
	return base
}

// lift is how much higher the underside of a crown of radius r is x from the trunk.
func (w *walked) lift(x, r float64) float64 {
	if x >= r {
		return w.rise * r
	}
	return w.rise * (r - math.Sqrt(r*r-x*x))
}

// asked is the height asked for x from the trunk.
func (w *walked) asked(x float64, at int) float64 {
	switch {
	case x >= w.far:
		return w.high[at]
	case x <= w.edge:
		return 0
	}
	return w.low[at] + (w.high[at]-w.low[at])*(x-w.edge)/(w.far-w.edge)
}

// places calls fn every 10 mm from where a level begins to count out to a
// distance, and at that distance, until fn is false.
func (w *walked) places(at int, out float64, fn func(x float64) bool) {
	start := w.edge
	if at == 0 {
		start += w.gutter
	}
	for x := start + 0.5; x < out; x += 10 {
		if !fn(x) {
			return
		}
	}
	if out > start {
		fn(out)
	}
}

// under reports whether the foliage out to a distance hangs lower than asked.
func (w *walked) under(d *draft, on scheduler.Date, at int, out, r float64, z slack) (first float64, yes bool) {
	base := w.hangs(d, on, z)
	w.places(at, out, func(x float64) bool {
		first, yes = x, base+w.lift(x, r) < w.asked(x, at)
		return !yes
	})
	for yes && first > 1 { // to the millimetre
		x := first - 1
		if x <= w.edge || base+w.lift(x, r) >= w.asked(x, at) {
			break
		}
		first = x
	}
	return first, yes
}

// reach is how far out the side's foliage stands on a day: what the last
// clearance cut back grows out again at the slowed rate. Whether it had to cut
// at all can hang on a millimetre too.
func (w *walked) reach(d *draft, on scheduler.Date, z slack) float64 {
	r := w.radius(d, on, 0)
	if w.cut.IsZero() || on < w.cut {
		return r + slackReach*float64(z)
	}
	if w.backs == nil {
		until := addMonths(w.cut, 12*w.interval)
		for _, cutting := range [...]slack{-1, 0, 1} {
			then, grown, back := w.radius(d, w.cut, 0), w.radius(d, until, cutting), math.Inf(1)
			if free, cuts := w.under(d, until, 1, grown, grown, cutting); cuts {
				back = math.Min(then, math.Max(w.edge/4, free-1-(grown-then)*w.slowed))
			}
			w.backs = append(w.backs, back)
		}
	}
	then := w.radius(d, w.cut, 0)
	least, most := r, 0.0
	for i, back := range w.backs {
		out := math.Min(r, back+(r-then)*w.slowed)
		if z == 0 && i == 1 {
			return out
		}
		least, most = math.Min(least, out), math.Max(most, out)
	}
	if z < 0 {
		return least - slackReach
	}
	return most + slackReach
}

type question struct {
	on scheduler.Date
	at int // of small: -1
	z  slack
}

// once answers a question that was answered before without walking again.
func (w *walked) once(q question, walk func() bool) bool {
	yes, known := w.known[q]
	if !known {
		yes = walk()
		w.known[q] = yes
	}
	return yes
}

// attachment is where a branch that is to stay attaches: above every height to
// clear to that a tree as tall as it may grow can be raised to, and its droop.
func attachment(d *draft, p *scheduler.Policy, mature float64) float64 {
	s, sp := d.s, &d.p.species
	most := mature * float64(100-p.Training.LiveCrownMin) / 100
	highest := 0.0
	count := func(legal geo.Length, clear ...geo.Length) {
		if mature > 0 && most < float64(legal) {
			return
		}
		for _, h := range clear {
			highest = math.Max(highest, float64(h))
		}
	}
	if s.ToWalk.Known() {
		count(p.Clearance.Walk.Legal, p.Clearance.Walk.ClearTo)
	}
	for i := range p.Clearance.Roads {
		r := &p.Clearance.Roads[i]
		if r.Class != s.StreetClass || !s.ToCurb.Known() {
			continue
		}
		low, high := r.AtCurb, r.AtLane
		tall := false
		if s.BusRoute && r.BusLane.Legal > 0 {
			high.Legal, high.ClearTo, tall = max(high.Legal, r.BusLane.Legal), max(high.ClearTo, r.BusLane.ClearTo), true
		}
		if s.TruckRoute && r.TruckLane.Legal > 0 {
			high.Legal, high.ClearTo, tall = max(high.Legal, r.TruckLane.Legal), max(high.ClearTo, r.TruckLane.ClearTo), true
		}
		if tall && s.ToLane == s.ToCurb {
			low = high
		}
		count(high.Legal, low.ClearTo, high.ClearTo)
	}
	if highest == 0 {
		return 0
	}
	droop := float64(sp.Droop)
	hold := 1.0
	if sp.Habit == scheduler.Conifer || sp.WetSnow == scheduler.RatingHigh || sp.LeafSnow == scheduler.RatingHigh {
		hold = 1.5
	}
	return highest + math.Max(droop, droop*float64(p.Clearance.SnowDroop)/100*hold)
}

func (w *walked) breaks(d *draft, on scheduler.Date, at int, z slack) bool {
	return w.once(question{on, at, z}, func() bool {
		_, yes := w.under(d, on, at, w.reach(d, on, z), w.radius(d, on, z), z)
		return yes
	})
}

// small reports whether the tree cannot be raised to the legal height on a day.
func (w *walked) small(d *draft, on scheduler.Date, z slack) bool {
	if w.base < w.sightHigh {
		return false
	}
	young := d.stage != scheduler.StageRotation
	if d.stage == scheduler.StageUnknown {
		young = habitTrains(d.p.species.Habit) && d.age(on) < float64(d.e.policy.Training.EndYears)
	}
	height := float64(d.proj.At(on).Height)
	if w.cap > 0 {
		height = math.Min(height, w.cap)
	}
	most := height * (100 - w.lcr) / 100
	if w.permanent > 0 {
		most = math.Min(most, w.permanent)
	}
	return young && w.once(question{on, -1, z}, func() bool {
		r, needs := w.radius(d, on, z), 0.0
		w.places(0, r, func(x float64) bool {
			needs = math.Max(needs, w.asked(x, 0)-w.lift(x, r))
			return true
		})
		return needs > most-slackBase*float64(z)
	})
}

// season is the first growing season of a range that breaks a level.
func (w *walked) season(d *draft, from, last, at int, z slack) int {
	for y := from; y <= last; y++ {
		if w.breaks(d, leavesEnd(d, y), at, z) {
			return y
		}
	}
	return 0
}

func leavesEnd(d *draft, y int) scheduler.Date {
	l := d.e.policy.Seasons.LeafOn
	if l.To.Month < l.From.Month {
		y++
	}
	return date(y, l.To.Month, l.To.Day)
}

// with is the finding for a crown taken with slack in its size, and another in
// the question whether the tree is too small.
func (w *walked) with(d *draft, z, legal, tooSmall slack) finding {
	f := finding{unreachable: w.mature > 0 && w.mature*(100-w.lcr)/100 < w.high[0]}
	if w.breaks(d, w.fact, 0, legal) {
		f.what = breached
		if w.small(d, w.fact, tooSmall) {
			f.what = waits
		}
		return f
	}
	f.year = w.season(d, w.first, w.last, 1, z)
	switch {
	case f.year == 0:
		return finding{}
	case w.small(d, leavesEnd(d, f.year), tooSmall):
		f.what = waits
	default:
		f.what = comes
		f.legal = w.season(d, f.year, f.year+searchSeasons, 0, legal)
	}
	return f
}

// finding is the answer, and whether it stands whatever the millimetres.
func (w *walked) finding(d *draft) (finding, bool) {
	f := w.with(d, 0, 0, 0)
	for _, z := range [...]slack{-1, 1} {
		for _, l := range [...]slack{-1, 1} {
			for _, s := range [...]slack{-1, 1} {
				if w.with(d, z, l, s) != f {
					return f, false
				}
			}
		}
	}
	return f, true
}

// allows reports whether an answer lies within what rounding leaves open.
func (w *walked) allows(d *draft, got finding) bool {
	between := func(y, a, b int) bool { // 0 stands for never
		if b == 0 {
			b = math.MaxInt
		}
		if y == 0 {
			y = math.MaxInt
		}
		return a != 0 && a <= y && y <= b || a == 0 && y == math.MaxInt
	}
	if got.what == comes && !between(got.legal, w.season(d, got.year, got.year+searchSeasons, 0, 1), w.season(d, got.year, got.year+searchSeasons, 0, -1)) {
		return false
	}
	for _, l := range [...]slack{-1, 1} {
		for _, s := range [...]slack{-1, 1} {
			wide, narrow := w.with(d, 1, l, s), w.with(d, -1, l, s)
			if (got.what == wide.what || got.what == narrow.what) && between(got.year, wide.year, narrow.year) {
				return true
			}
		}
	}
	return false
}
