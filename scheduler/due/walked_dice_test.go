package due

import (
	"math/rand/v2"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

func dicePolicy(t *testing.T, r *rand.Rand) scheduler.Policy {
	names := scheduler.Presets()
	p := presetPolicy(t, names[r.IntN(len(names))])
	rule := func(lo, hi geo.Length) scheduler.HeightRule {
		l := lo + geo.Length(r.IntN(int(hi-lo)))
		act := l + geo.Length(r.IntN(400))
		return scheduler.HeightRule{Legal: l, ActAt: act, ClearTo: act + geo.Length(r.IntN(500)), Source: "dice"}
	}
	c := &p.Clearance
	c.Walk = rule(2100, 3100)
	for i := range c.Roads {
		road := &c.Roads[i]
		road.AtCurb, road.AtLane = rule(2400, 3500), rule(3600, 5000)
		road.BusLane, road.TruckLane = scheduler.HeightRule{}, scheduler.HeightRule{}
		if r.IntN(2) == 0 {
			road.BusLane = rule(3600, 5300)
		}
		if r.IntN(2) == 0 {
			road.TruckLane = rule(3600, 6000)
		}
		road.ToCentre = r.IntN(3) == 0
	}
	c.SnowDroop, c.LookAhead = r.IntN(200), 2+r.IntN(8)
	if r.IntN(3) == 0 {
		c.YoungTrees = "dice 1.2"
	}
	p.Training.LiveCrownMin = 50 + r.IntN(25)
	p.Practice.CrownRisePct, p.Practice.ReducedPct = 20+r.IntN(120), 20+r.IntN(80)
	p.Practice.LaneTolerance = geo.Length(50 + r.IntN(600))
	p.Wires.Approach += geo.Length(r.IntN(2000))
	return p
}

func diceTree(r *rand.Rand, e *Engine) scheduler.Tree {
	codes := make([]string, 0, len(e.species))
	for _, s := range []string{"ACRU", "MALUS", "PLAC", "GLTR", "QUPA", "ULAM", "ZESE", "PYCA", "GIBI", "QUVI", "PIPU", "TICO", "LAIN", "ACSA1"} {
		if e.species[s] != nil {
			codes = append(codes, s)
		}
	}
	t := bare(codes[r.IntN(len(codes))])
	on := func(from, to string) scheduler.Date {
		a, b := day(from), day(to)
		return a + scheduler.Date(r.IntN(int(b-a)))
	}
	t.Planted, t.Precision = on("1990-01-01", "2017-01-01"), scheduler.PreciseDay
	if r.IntN(3) > 0 {
		t.DBH, t.MeasuredOn = geo.Length(60+r.IntN(500)), on("2018-01-01", "2026-11-01")
		if r.IntN(2) == 0 {
			t.Height, t.Crown = geo.Length(4000+r.IntN(12000)), geo.Length(1500+r.IntN(9000))
		}
	}
	t.BaseRoad, t.BaseWalk, t.BaseOn = geo.Length(900+r.IntN(4800)), geo.Length(900+r.IntN(3000)), on("2018-01-01", "2026-11-01")
	t.LastVisit, t.LastTraining = t.BaseOn, t.BaseOn
	switch r.IntN(4) {
	case 0:
		t.LastRaise = t.BaseOn
	case 1:
		t.LastRaise = on("2018-01-01", "2026-11-01")
	}
	if r.IntN(4) == 0 {
		t.Permanent = geo.Length(2500 + r.IntN(3000))
	}
	t.Stage = scheduler.Stages()[r.IntN(len(scheduler.Stages()))]
	return t
}

func diceSite(r *rand.Rand) scheduler.Site {
	s := street()
	s.StreetClass = []scheduler.StreetClass{scheduler.Arterial, scheduler.Collector, scheduler.Residential, scheduler.Alley, ""}[r.IntN(5)]
	s.ToCurb = geo.Length(r.IntN(3000))
	s.ToLane, s.HalfRoad, s.ToWalk = s.ToCurb, geo.Length(2500+r.IntN(5000)), geo.Length(r.IntN(2500))
	if s.Parking = r.IntN(2) == 0; s.Parking {
		s.ToLane += geo.Length(1800 + r.IntN(800))
	}
	if r.IntN(12) == 0 {
		s.ToWalk = geo.None
	}
	s.BusRoute, s.TruckRoute, s.InSight = r.IntN(4) == 0, r.IntN(4) == 0, r.IntN(5) == 0
	if r.IntN(4) == 0 {
		s.WireClass, s.ToWire, s.WireHeight = scheduler.WirePrimary, geo.Length(r.IntN(6000)), geo.Length(5000+r.IntN(9000))
		s.WireVolts = r.IntN(140) * 1000
	}
	return s
}
