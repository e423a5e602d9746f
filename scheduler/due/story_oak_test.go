package due

import (
	"fmt"

	"limbround/scheduler"
)

// pinOak: an oak under a closed season; a sign is hidden in leaf, and a
// resident asks for work in July.
func pinOak() story {
	return story{
		name: "pin_oak_closed_season", preset: "northeast",
		edit:  stageIntervals(3, 3, 3, 4),
		tree:  func() scheduler.Tree { return plantedOn("QUPA", "2026-11-10") },
		site:  func() scheduler.Site { return parkingLane(street()) },
		began: "2026-11-10", today: "2026-11-12", years: 21,
		events: []storyEvent{
			{
				on: "2036-05-15", what: "A stop sign put up 1.8 m from the trunk is hidden by leaves.",
				site: func(s *scheduler.Site) { s.ToSign = 1800 },
				record: &scheduler.WorkRecord{Kinds: []scheduler.WorkKind{scheduler.Inspection}, Watch: []scheduler.WatchFinding{{
					What: "stop sign hidden", Height: 2400, Side: scheduler.SideUpStreet, Intent: scheduler.DecideNext,
				}}},
				ask: true,
			},
			{
				on: "2036-05-16", what: "The view is opened, with the forester's approval; the wounds are painted.",
				record: &scheduler.WorkRecord{
					Kinds: []scheduler.WorkKind{scheduler.SightClearance}, LiveCrown: 2, Cuts: scheduler.CutTally{Under1: 6}, ApprovedBy: "the forester",
					Watch: []scheduler.WatchFinding{{Letter: "A", Done: "removed what hid it", Resolved: true}},
				},
			},
			{on: "2036-07-20", what: "A resident asks for the branches over the walk to be raised. No sight line is touched.", ask: true},
		},
		claims: func() []storyClaim {
			return []storyClaim{
				closedDays(scheduler.MonthDay{Month: 4, Day: 1}, scheduler.MonthDay{Month: 7, Day: 31}),
				visitAt(3, scheduler.Training),
				visitAt(6, scheduler.Training),
				visitAt(9, scheduler.Training),
				visitAt(13, scheduler.Training).but("the stage of temporaries has 3 seasons, to t12; by hand 4"),
				visitAt(16, scheduler.Training).but("3 seasons after t12"),
				sizeAt(20, 28.9, 10.0, 4.0),
				visitAt(20, scheduler.Training).but("temporaries last until the crown allows three quarters of the height to clear, 3.43 m, at t15.4; 3 seasons after t15"),
				pruningVisits(3, 20, 6, 6),
				permanentHeight(5.2).but("a drooping crown hangs 0.90 m under snow, which the city has; by hand 0.6 m, wet and in leaf"),
				openWork(9.5, "sign hidden in May", "sight work at once", scheduler.SightClearance),
				saysOf(9.5, scheduler.SightClearance, "sign hidden in May", "named approval", "named approver"),
				saysOf(9.5, scheduler.SightClearance, "sign hidden in May", "painted the same day", "paint"),
				saysOf(9.5, scheduler.SightClearance, "sign hidden in May", "smallest cuts, the rest in winter", "smallest cuts"),
				requestWaits("2036-07-20"),
			}
		},
	}
}

// openWork: an event leaves open a visit of the kind that may be done within the season of the event.
func openWork(t float64, what, hand string, kind scheduler.WorkKind) storyClaim {
	return storyClaim{t: t, what: what, hand: hand, got: func(r *storyRun) (string, bool) {
		for i := range r.steps {
			st := &r.steps[i]
			if st.event == nil || r.t(st.on) < t-0.5 || r.t(st.on) > t+0.5 {
				continue
			}
			for _, v := range st.visits() {
				if hasAny(v, []scheduler.WorkKind{kind}) && v.Window.Due < st.on.AddDays(60) {
					return fmt.Sprintf("%s, due %s, class %d", words(v.Kinds), v.Window.Due, v.Class), true
				}
			}
		}
		return "no such visit", false
	}}
}

// requestWaits: whatever an event in the closed season asks for, live cuts wait for an open day.
func requestWaits(on string) storyClaim {
	return storyClaim{t: 9.7, what: "request of 20 July without a sight line", hand: "waits for the open season", got: func(r *storyRun) (string, bool) {
		for i := range r.steps {
			st := &r.steps[i]
			if st.event == nil || st.on != day(on) {
				continue
			}
			d := r.draft(&st.after, &st.site, st.on)
			open := d.p.opens(scheduler.WalkClearance, st.on)
			first := scheduler.Date(0)
			for j := range st.open {
				if v := &st.open[j]; hasAny(v, pruningKinds) && (first == 0 || v.Window.Due < first) {
					first = v.Window.Due
				}
			}
			return fmt.Sprintf("first open day %s; the next pruning is due %s", open, first), open > st.on && first >= open
		}
		return "no such event", false
	}}
}

func oakWisconsin() scheduler.Season {
	return scheduler.Season{
		Name: "oak", Kind: scheduler.SeasonClosed, From: scheduler.MonthDay{Month: 4, Day: 1}, To: scheduler.MonthDay{Month: 7, Day: 31},
		Groups: []string{"oak"}, Authority: "Wisconsin DNR", Source: "Wisconsin DNR",
	}
}
