package storetest

import (
	"fmt"
	"strings"
	"time"

	"limbround/geo"
	"limbround/scheduler"
)

// recordSet is what crews wrote down about one tree, in the order of the work.
type recordSet struct {
	name     string
	fixed    int // of its records come first in every order: the others name letters that they were given
	shuffles int
	make     []func(*scheduler.WorkRecord)
}

// records makes the set's records for one tree; every record is six hours after the one before it.
func (s *recordSet) records(w *town, v scheduler.Visit, packet int64, tree int) []scheduler.WorkRecord {
	list := make([]scheduler.WorkRecord, len(s.make))
	for i, change := range s.make {
		end := w.now.AddDate(0, 0, -12).Add(time.Duration(i) * 6 * time.Hour)
		list[i] = scheduler.WorkRecord{
			ID:      fmt.Sprintf("%08x-0000-4000-8000-%012d", len(s.name)<<16+i*7919%len(s.make), tree), // not in the order of the work
			VisitID: v.ID, TreeID: v.TreeID, PacketID: packet, By: "R. Osei", Start: end.Add(-10 * time.Minute), Finish: end,
			Kinds: []scheduler.WorkKind{scheduler.Training}, Outcome: scheduler.OutcomeDone,
		}
		change(&list[i])
	}
	return list
}

func unplanned(kinds ...scheduler.WorkKind) func(*scheduler.WorkRecord) {
	return func(r *scheduler.WorkRecord) { r.VisitID, r.PacketID, r.Kinds = 0, 0, kinds }
}

func couldNot(code scheduler.CouldNot) func(*scheduler.WorkRecord) {
	return func(r *scheduler.WorkRecord) { r.Outcome, r.CouldNot = scheduler.OutcomeNotDone, code }
}

func left(what string) scheduler.WatchFinding {
	return scheduler.WatchFinding{What: what, Diameter: 30, StemDiameter: 80, Intent: scheduler.RemoveLater}
}

func recordSets() []recordSet {
	sets := []recordSet{
		{
			name: "a busy week", fixed: 1, shuffles: 8,
			make: []func(*scheduler.WorkRecord){
				func(r *scheduler.WorkRecord) {
					unplanned(scheduler.FirstLook)(r)
					r.Watch = []scheduler.WatchFinding{left("competing leader"), {What: "union", Intent: scheduler.WatchOnly}}
				},
				couldNot(scheduler.NestFound),
				func(r *scheduler.WorkRecord) {
					r.Outcome, r.LiveCrown, r.DBH, r.BaseWalk = scheduler.OutcomePart, 8, 104, 1900
					r.Watch = []scheduler.WatchFinding{{Letter: "A", Reduced: true, Done: "reduced by half"}, left("crossing branch")}
				},
				couldNot(scheduler.NeedsLift),
				func(r *scheduler.WorkRecord) {
					r.LiveCrown, r.Height, r.Stage, r.Permanent = 10, 5600, scheduler.StageTemporaries, 2600
					r.Watch = []scheduler.WatchFinding{{Letter: "A", Diameter: 34, Intent: scheduler.HoldTier}, left("low limb")}
				},
				func(r *scheduler.WorkRecord) {
					unplanned(scheduler.RoadClearance)(r)
					r.LiveCrown, r.BaseRoad, r.Vigour = 5, 2200, scheduler.VigourFair
					r.Hazard = &scheduler.Hazard{What: "hanging limb", Class: 0, CalledTo: "dispatcher on duty"}
				},
				unplanned(scheduler.MakeSafe),
				couldNot(scheduler.DeadOrHazard),
				func(r *scheduler.WorkRecord) {
					couldNot(scheduler.TreeGone)(r)
					r.Watch = []scheduler.WatchFinding{{Letter: "B", Resolved: true}}
				},
				unplanned(scheduler.Inspection),
			},
		},
		{
			name: "one visit, three tries", shuffles: 4,
			make: []func(*scheduler.WorkRecord){
				func(r *scheduler.WorkRecord) { couldNot(scheduler.CarInTheWay)(r); r.PacketID = 0 },
				func(r *scheduler.WorkRecord) { r.Outcome, r.LiveCrown = scheduler.OutcomePart, 12 },
				func(r *scheduler.WorkRecord) { r.LiveCrown, r.PacketID = 7, 0 },
			},
		},
		{
			name: "the tree goes", shuffles: 6,
			make: []func(*scheduler.WorkRecord){
				func(r *scheduler.WorkRecord) { r.LiveCrown, r.DBH = 10, 101 },
				unplanned(scheduler.Removal),
				unplanned(scheduler.StumpGrinding),
				func(r *scheduler.WorkRecord) { unplanned(scheduler.Inspection)(r); r.Height = 5500 },
			},
		},
		{
			name: "the tree was found dead", shuffles: 6,
			make: []func(*scheduler.WorkRecord){
				func(r *scheduler.WorkRecord) { couldNot(scheduler.DeadOrHazard)(r); r.Found = scheduler.Dead },
				func(r *scheduler.WorkRecord) { unplanned(scheduler.Inspection)(r); r.Found = scheduler.Alive },
				func(r *scheduler.WorkRecord) { unplanned(scheduler.Inspection)(r); r.Found = scheduler.Dead },
				unplanned(scheduler.Removal),
			},
		},
		{
			name: "the work ends the danger that was seen before it", shuffles: 4,
			make: []func(*scheduler.WorkRecord){
				couldNot(scheduler.DeadOrHazard), unplanned(scheduler.MakeSafe), couldNot(scheduler.DeadOrHazard), couldNot(scheduler.WrongSpecies),
			},
		},
	}
	for _, code := range scheduler.CouldNots() {
		sets = append(sets, recordSet{
			name: "code " + strings.ReplaceAll(string(code), "_", " "), shuffles: 1,
			make: []func(*scheduler.WorkRecord){
				couldNot(code),
				func(r *scheduler.WorkRecord) {
					r.Outcome, r.LiveCrown, r.BaseRoad = scheduler.OutcomePart, 6, geo.Length(1800)
				},
				couldNot(code),
				func(r *scheduler.WorkRecord) { unplanned(scheduler.WalkClearance)(r); r.LiveCrown = 4 },
			},
		})
	}
	return sets
}
