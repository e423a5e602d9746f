package scheduler

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"limbround/geo"
)

// The words that a policy may use.
var (
	workKinds = []WorkKind{
		Training, RoadClearance, WalkClearance, SightClearance, RotationPrune, Restoration, MakeSafe, Removal, StumpGrinding,
		Replanting, Support, BasalSprouts, Inspection, Establishment, FirstLook, Watering,
	}
	streetClasses  = []StreetClass{Arterial, Collector, Residential, Alley}
	seasonKinds    = []SeasonKind{SeasonClosed, SeasonAllowed, SeasonCheckFirst, SeasonStopOnFind, SeasonPreferred}
	trainingStages = []Stage{StageEstablishing, StageLeader, StageTemporaries, StageRaising}
)

// check refuses what is missing, out of range or contradictory. The ranges are
// wide: they catch a slipped unit or digit, not a choice a city may make.
func (p *Policy) check(d *policyDecoder) {
	d.text("name", p.Name)
	d.text("region", p.Region)
	if p.Effective.IsZero() {
		d.refuse("effective", "", "is required: the date from which the policy holds")
	}
	p.Seasons.check(d)
	p.Training.check(d)
	p.Clearance.check(d)
	p.Rotation.check(d)
	if d.length("wires.approach", p.Wires.Approach, 0, 30*geo.Metre) && p.Wires.Approach < geo.Feet(10) {
		d.refuse("wires.approach", p.Wires.Approach.String(), "unqualified persons keep at least 10 ft off overhead lines (29 CFR 1910.333)")
	}
	d.text("wires.source", p.Wires.Source)
	d.option("wires.request_lead_days", p.Wires.RequestLead, 1, 365)
	d.option("wires.request_valid_days", p.Wires.RequestValid, 1, 730)
	p.Work.check(d)
	d.number("first_look.years", p.FirstLook.Years, 1, 15)
	d.text("first_look.source", p.FirstLook.Source)
	p.Practice.check(d)
	p.Care.check(d)
	p.Storms.check(d)
	p.Growth.check(d)
	p.FollowUp.check(d)
	p.Advise.check(d)
}

func (r *SeasonRules) check(d *policyDecoder) {
	d.span("seasons.dormant", r.Dormant.From, r.Dormant.To)
	d.span("seasons.leaf_on", r.LeafOn.From, r.LeafOn.To)
	if d.given("seasons.dormant") && d.given("seasons.leaf_on") && overlap(r.Dormant, r.LeafOn) {
		d.refuse("seasons.leaf_on", "", "overlaps the dormant season")
	}
	d.text("seasons.source", r.Source)
	for i, s := range r.Special {
		at := fmt.Sprintf("seasons.special[%d]", i)
		d.text(at+".name", s.Name)
		word(d, at+".kind", s.Kind, seasonKinds)
		d.span(at, s.From, s.To)
		for j, k := range s.Kinds {
			word(d, fmt.Sprintf("%s.kinds[%d]", at, j), k, workKinds)
		}
		for j, g := range s.Groups {
			if g == "" || strings.ToLower(g) != g || strings.ContainsAny(g, " -") {
				d.refuse(fmt.Sprintf("%s.groups[%d]", at, j), g, "want a species group as in the species table: oak, elm, fire_blight ...")
			}
		}
		for j, c := range s.Cuts {
			word(d, fmt.Sprintf("%s.cuts[%d]", at, j), c, cutClasses)
		}
		if s.Kind != SeasonCheckFirst && d.given(at+".survey_days") {
			d.refuse(at+".survey_days", strconv.Itoa(s.Survey), "belongs to a check_first season")
		}
		d.option(at+".survey_days", s.Survey, 1, 60)
		d.text(at+".authority", s.Authority)
		d.text(at+".source", s.Source)
	}
}

func (r *TrainingRules) check(d *policyDecoder) {
	d.number("training.end_years", r.EndYears, 1, 60)
	d.text("training.source", r.Source)
	d.number("training.live_crown_min_pct", r.LiveCrownMin, 30, 90)
	d.text("training.live_crown_source", r.CrownSource)
	d.number("training.flat_dose_pct", r.FlatDose, 1, 50)
	for i, pct := range r.DoseByVisit {
		d.number(fmt.Sprintf("training.dose_by_visit_pct[%d]", i), pct, 0, 50)
	}
	d.text("training.dose_source", r.DoseSource)
	d.length("training.small_cut", r.SmallCut, 10, 150)
	d.figure("training.small_ratio", r.SmallRatio, 0.2, 0.9)
	d.text("training.small_cut_source", r.CutSource)
	d.length("training.reach", r.Reach, 1500, 8000)
	d.text("training.reach_source", r.ReachSource)
	r.Structure.check(d)
	r.checkPace(d)
	var stages []Stage
	for i, s := range r.Stages {
		at := fmt.Sprintf("training.stages[%d]", i)
		once(d, at+".stage", s.Stage, trainingStages, stages)
		stages = append(stages, s.Stage)
		d.number(at+".interval_seasons", s.Seasons, 1, 10)
		d.number(at+".latest_plus_seasons", s.LatestPlus, 0, 5)
		if len(s.Objectives) < 1 || len(s.Objectives) > 5 {
			d.refuse(at+".objectives", strconv.Itoa(len(s.Objectives)), "want one to five objectives, in their order")
		}
		for j, o := range s.Objectives {
			d.text(fmt.Sprintf("%s.objectives[%d]", at, j), o)
		}
		d.text(at+".source", s.Source)
	}
	complete(d, "training.stages", trainingStages, stages)
}

func (r *ClearanceRules) check(d *policyDecoder) {
	d.height("clearance.walk", r.Walk)
	if d.given("clearance.walk.legal") && r.Walk.Legal < geo.Inches(80) {
		d.refuse("clearance.walk.legal", r.Walk.Legal.String(), "is less than 80 in of headroom (2010 ADA Standards 307.4)")
	}
	var classes []StreetClass
	for i, road := range r.Roads {
		at := fmt.Sprintf("clearance.roads[%d]", i)
		once(d, at+".class", road.Class, streetClasses, classes)
		classes = append(classes, road.Class)
		d.height(at+".at_curb", road.AtCurb)
		d.height(at+".at_lane", road.AtLane)
		d.height(at+".bus_lane", road.BusLane)
		d.notBelow(at+".at_lane.legal", road.AtLane.Legal, at+".at_curb.legal", road.AtCurb.Legal)
		d.notBelow(at+".bus_lane.legal", road.BusLane.Legal, at+".at_lane.legal", road.AtLane.Legal)
		if d.given(at + ".truck_lane") {
			d.height(at+".truck_lane", road.TruckLane)
			d.notBelow(at+".truck_lane.legal", road.TruckLane.Legal, at+".at_lane.legal", road.AtLane.Legal)
		}
	}
	complete(d, "clearance.roads", streetClasses, classes)
	d.length("clearance.sign_gap", r.SignGap, 100, 5000)
	d.length("clearance.sight_low", r.SightLow, 300, 2000)
	d.length("clearance.sight_high", r.SightHigh, 1500, 5000)
	d.notBelow("clearance.sight_high", r.SightHigh, "clearance.sight_low", r.SightLow)
	d.number("clearance.look_ahead_years", r.LookAhead, 1, 30)
	d.text("clearance.source", r.Source)
	d.option("clearance.snow_droop_pct", r.SnowDroop, 0, 400)
	d.option("clearance.snow_hold_pct", r.SnowHold, 100, 400)
	if d.given("clearance.sign_top") {
		d.length("clearance.sign_top", r.SignTop, 1500, 8000)
	}
	if d.given("clearance.light_low") {
		d.length("clearance.light_low", r.LightLow, 1500, 15000)
	}
	if _, given := d.lines["clearance.young_trees"]; given {
		d.text("clearance.young_trees", r.YoungTrees)
	}
}

func (r *RotationRules) check(d *policyDecoder) {
	if len(r.Classes) == 0 {
		d.refuse("rotation.classes", "", "want at least one size class")
	}
	under := geo.Length(0)
	for i, c := range r.Classes {
		at := fmt.Sprintf("rotation.classes[%d]", i)
		switch last := i == len(r.Classes)-1; {
		case last && c.UpTo != 0:
			d.refuse(at+".dbh_up_to", c.UpTo.String(), "the last class has no upper limit: leave the key out")
		case !last && d.length(at+".dbh_up_to", c.UpTo, 1, 4*geo.Metre) && c.UpTo <= under:
			d.refuse(at+".dbh_up_to", c.UpTo.String(), "size classes stand in rising order")
		}
		under = c.UpTo
		d.number(at+".years", c.Years, 1, 30)
		d.number(at+".grace_years", c.Grace, 0, 10)
		d.text(at+".source", c.Source)
	}
}

func (r *WorkRules) check(d *policyDecoder) {
	var classes []StreetClass
	for _, c := range slices.Sorted(maps.Keys(r.SetUp)) {
		at := "work.set_up_min." + string(c)
		word(d, at, c, streetClasses)
		d.number(at, r.SetUp[c], 0, 180)
		classes = append(classes, c)
	}
	complete(d, "work.set_up_min", streetClasses, classes)
	d.number("work.walk_set_up_min", r.WalkSetUp, 0, 60)
	d.number("work.spread_pct", r.SpreadPct, 0, 200)
	d.text("work.source", r.Source)
	var kinds []WorkKind
	for i, k := range r.Kinds {
		at := fmt.Sprintf("work.kinds[%d]", i)
		once(d, at+".kind", k.Kind, workKinds, kinds)
		kinds = append(kinds, k.Kind)
		d.figure(at+".base_min", k.Base, 0, 600)
		d.figure(at+".min_per_dbh_cm", k.PerCM, 0, 30)
		d.figure(at+".chips_l_per_dbh_cm", k.Chips, 0, 500)
		if d.given(at) && k.Base == 0 && k.PerCM == 0 {
			d.refuse(at, string(k.Kind), "would take no time at all")
		}
		d.text(at+".source", k.Source)
	}
	complete(d, "work.kinds", workKinds, kinds)
}
