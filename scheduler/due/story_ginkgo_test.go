package due

import (
	"limbround/geo"
	"limbround/scheduler"
)

// ginkgo: the first tree dies in its tenth month; the second grows on the same site.
func ginkgo() story {
	return story{
		name: "ginkgo_second_tree", preset: "northeast",
		edit:  firstVisitAfter(4),
		tree:  func() scheduler.Tree { return plantedOn("GIBI", "2026-11-10") },
		site:  func() scheduler.Site { return parkingLane(street()) },
		began: "2027-11-10", today: "2026-11-12", years: 22,
		events: []storyEvent{
			{
				on: "2027-09-10", what: "Inspection before the warranty ends, month 10: no live bud. Claimed from the planting contractor.",
				record: &scheduler.WorkRecord{Kinds: []scheduler.WorkKind{scheduler.Establishment}, Outcome: scheduler.OutcomeNotDone, CouldNot: scheduler.DeadOrHazard, Found: scheduler.Dead, Note: "warranty claimed"},
				ask:    true,
			},
			{
				on: "2027-09-20", what: "The contractor lifts the dead tree.",
				record: &scheduler.WorkRecord{Kinds: []scheduler.WorkKind{scheduler.Removal, scheduler.StumpGrinding}},
			},
			{
				on: "2027-11-10", what: "The replacement is planted on the same site.",
				tree: func(t *scheduler.Tree) {
					*t = plantedOn("GIBI", "2027-11-10")
					t.ID, t.Ref = 2, "S-2"
				},
			},
		},
		claims: func() []storyClaim {
			return []storyClaim{
				says(-0.16, "month 10", "dead: taken out", "dead", "take it down"),
				removalAfter("2027-09-10"),
				removalOpen(),
				visitAt(0.88, scheduler.Establishment),
				visitAt(4, scheduler.Training),
				says(4, "first structural visit", "leader", "leader"),
				doseAt(4, 0, 10).but("the dose is a limit and no aim: the policy allows 25 % at a first visit of any species (IFAS EP276)"),
				baseReaches(8.7, geo.Feet(8), 0.1),
				visitAt(9, scheduler.Training).but("a slow grower has 4 seasons in the leader stage, t4, t8 and t12; by hand 5"),
				says(9, "walk side", "raised, or cut back before", "walk side"),
				visitAt(14, scheduler.Training).but("4 seasons after t12"),
				sizeAt(20, 22.6, 10.2, 4.1),
				visitAt(20, scheduler.Training).but("a slow grower has 5 seasons in the raising stage, t16 to t21"),
				crownNever(20, geo.Metres(3.3)),
				pruningVisits(0, 20, 1, 5),
			}
		},
	}
}

// crownNever: the crown does not pass a distance from the trunk within a time.
func crownNever(t float64, out geo.Length) storyClaim {
	return storyClaim{t: t, what: "lane, 3.3 m from the trunk", hand: "not reached in 20 years", got: func(r *storyRun) (string, bool) {
		d := r.draftOn(r.day(t))
		got := d.radius(r.day(t))
		return "the crown stands " + got.String() + " out", got < out
	}}
}

// removals are the visits that take the tree down, as they were planned or stood open.
func (r *storyRun) removals() []*scheduler.Visit {
	var out []*scheduler.Visit
	for i := range r.steps {
		for _, v := range r.steps[i].visits() {
			if v.Kind == scheduler.Removal {
				out = append(out, v)
			}
		}
	}
	return out
}

// removalAfter: a dead tree's removal is due no earlier than its death was seen.
func removalAfter(death string) storyClaim {
	return storyClaim{t: -0.16, what: "removal of the dead tree, due", hand: "not before " + death, got: func(r *storyRun) (string, bool) {
		for _, v := range r.removals() {
			return v.Window.Due.String(), v.Window.Due >= day(death)
		}
		return "none", false
	}}
}

// removalOpen: the removal may be done.
func removalOpen() storyClaim {
	return storyClaim{t: -0.16, what: "removal of the dead tree", hand: "may be done at once", got: func(r *storyRun) (string, bool) {
		for _, v := range r.removals() {
			return string(v.State) + " " + v.Hold, v.State != scheduler.Held
		}
		return "none", false
	}}
}
