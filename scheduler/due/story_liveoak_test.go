package due

import (
	"fmt"

	"limbround/geo"
	"limbround/scheduler"
)

// liveOakWith is a live oak in Central Florida, planted at 5 cm and pruned at
// planting, under one rule for the live crown to take.
func liveOakWith(name string, edit func(*scheduler.Policy), then []storyEvent, claims func() []storyClaim) story {
	return story{
		name: name, preset: "central-florida",
		edit: edit,
		tree: func() scheduler.Tree {
			t := plantedOn("QUVI", "2026-12-01")
			t.Caliper = 52
			return t
		},
		site:  func() scheduler.Site { return parkingLane(street()) },
		began: "2026-12-01", today: "2026-12-02", years: 26,
		events: append([]storyEvent{{
			on: "2026-12-05", what: "Pruned at planting.",
			record: &scheduler.WorkRecord{Kinds: []scheduler.WorkKind{scheduler.Training}, LiveCrown: 25, BaseRoad: 1400, BaseWalk: 1400, Stage: scheduler.StageLeader},
		}}, then...),
		claims: claims,
	}
}

func liveOakSizes() []storyClaim {
	return []storyClaim{
		sizeAt(0, 5.2, 3.7, 0),
		sizeAt(2, 11.2, 5.0, 0),
		visitAt(2, scheduler.Training),
		sizeAt(4, 17.0, 6.3, 0),
		sizeAt(6, 22.6, 7.4, 3.0),
		sizeAt(9, 30.4, 9.0, 3.6),
		sizeAt(12, 37.9, 10.4, 4.1),
		baseReaches(13, geo.Feet(14), 0.5),
		sizeAt(16, 47.1, 12.0, 4.8),
		permanentHeight(4.9),
	}
}

// liveOak: the first three visits by the published table of doses.
func liveOak() story {
	return liveOakWith("live_oak_dose_by_visit", nil, nil, func() []storyClaim {
		return append(
			liveOakSizes(),
			visitAt(4, scheduler.Training),
			visitAt(6, scheduler.Training).but("the leader is done at t4, and the preset's stage of temporaries has 3 seasons"),
			visitAt(9).but("3 seasons after t7"),
			visitAt(12).but("the preset's raising stage has 4 seasons, t10 to t14"),
			visitAt(16).but("4 seasons after t14 is t18"),
			permanentChosen(16).but("chosen at the first visit at which the crown could be raised to it, t18"),
			figureAt(0, "first training of a tree planted where winters are warm, t", 0, 0.6, "", func(r *storyRun) (float64, bool) {
				for _, v := range r.e.Visits(r.s.tree(), r.s.site(), day(r.s.today)) {
					if v.Kind == scheduler.Training {
						return r.t(v.Window.Due), true
					}
				}
				return 0, false
			}).but("one season after planting: pruning in the nursery row or at planting is a record of the planting and not a visit that the calendar plans"),
			doseAt(2, 40, 40),
			doseAt(4, 35, 35),
			everySays("ratio", "reduce first above 0.39", scheduler.Training, "above 39 % of the parent stem reduce first"),
			figureAt(25, "training goes on to, t", 25, 1, "", func(r *storyRun) (float64, bool) {
				last := 0.0
				for i := range r.steps {
					if v := r.steps[i].visit; v != nil && hasAny(v, []scheduler.WorkKind{scheduler.Training}) {
						last = r.t(r.steps[i].on)
					}
				}
				return last, last > 0
			}).but("the model foresees leader, permanent branch and heights as reached at t14, and passes the tree to the rotation; the record decides"),
		)
	})
}

// stopped is a training visit on a day that stopped at the dose: both sides are
// done, and of the training a part.
func stopped(on string, base geo.Length) []storyEvent {
	return []storyEvent{
		{
			of: scheduler.Training, on: on, what: "Both sides first.",
			record: &scheduler.WorkRecord{
				Kinds: []scheduler.WorkKind{scheduler.RoadClearance, scheduler.WalkClearance}, LiveCrown: 10, BaseRoad: base, BaseWalk: base,
			},
		},
		{
			on: on, what: "Then the leader: a quarter of the live crown is out, and it is not free yet. Stopped at the dose.",
			record: &scheduler.WorkRecord{
				Kinds: []scheduler.WorkKind{scheduler.Training}, Outcome: scheduler.OutcomePart, CouldNot: scheduler.DoseReached, LiveCrown: 15,
			},
			ask: true,
		},
	}
}

// liveOakFlat: a quarter of the live crown at every visit. Where the published
// table allows 40 and 35 %, the crew stops with work left.
func liveOakFlat() story {
	flat := func(p *scheduler.Policy) { p.Training.DoseByVisit, p.Training.FlatDose = nil, 25 }
	stops := append(stopped("2028-12-01", 2000), stopped("2031-12-01", 2700)...)
	return liveOakWith("live_oak_flat_dose", flat, stops, func() []storyClaim {
		return append(
			liveOakSizes(),
			doseAt(2, 25, 25),
			says(2, "the rest of the visit", "next season", "the rest waits for the next"),
			doseAt(4, 25, 25),
			storyClaim{t: -1, what: "visits more than with the dose by visit, to t20", hand: "1 or 2", got: func(r *storyRun) (string, bool) {
				s := liveOak()
				other := playStory(r.tb, &s)
				n := r.prunings(0, 20) - other.prunings(0, 20)
				return fmt.Sprint(n), n == 1 || n == 2
			}},
		)
	})
}
