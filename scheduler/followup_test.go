package scheduler

import (
	"slices"
	"testing"
	"time"

	"limbround/geo"
)

// What each code sets, as the trade wants it.
func TestEveryCodeSetsWhatIsNext(t *testing.T) {
	on := day(2026, 11, 20)
	for _, c := range []struct {
		code   CouldNot
		held   bool
		until  Date
		skill  Skill
		first  bool
		lifted WorkKind
		all    bool // touches every cut on the tree
	}{
		{CarInTheWay, false, 0, Ground, false, "", false},
		{SignsMissing, false, 0, Ground, false, "", false},
		{NestFound, true, on.AddDays(42), Ground, false, "", true},
		{WireClose, true, on.AddDays(30), LineClearance, false, "", true},
		{NeedsLift, false, 0, Lift, false, "", false},
		{Weather, true, on.AddDays(1), Ground, true, "", false},
		{ResidentOrDog, true, on.AddDays(7), Ground, false, "", false},
		{TreeGone, true, 0, Ground, false, Inspection, true},
		{DeadOrHazard, true, 0, Ground, false, MakeSafe, true},
		{WrongSpecies, true, 0, Ground, false, Inspection, true},
		{DoseReached, true, day(2027, 11, 1), Ground, false, "", true},
		{RanOutOfDay, false, 0, Ground, true, "", false},
	} {
		f := FollowUpOf(c.code, Training, Ground, on, FollowUpRules{}, MonthSpan{})
		v := Visit{Kind: Training, State: Due, Skill: Ground, Score: 7}
		v.Carry([]FollowUp{f}, on)
		if (v.State == Held) != c.held || (v.Hold != "") != c.held || v.HoldUntil != c.until || v.Skill != c.skill {
			t.Errorf("%s: %s %q until %s, skill %s", c.code, v.State, v.Hold, v.HoldUntil, v.Skill)
		}
		if (v.Score > FirstScore) != c.first || f.LiftedBy != c.lifted {
			t.Errorf("%s: score %d, lifted by %q", c.code, v.Score, f.LiftedBy)
		}
		other := Visit{Kind: RoadClearance, State: Due, Skill: Ground}
		other.Carry([]FollowUp{f}, on)
		if c.held && (other.State == Held) != c.all {
			t.Errorf("%s: another cut on the tree is %s", c.code, other.State)
		}
		safe := Visit{Kind: MakeSafe, State: Due, Skill: Ground}
		safe.Carry([]FollowUp{f}, on)
		if safe.State == Held {
			t.Errorf("%s holds a make-safe visit", c.code)
		}
		if !c.until.IsZero() {
			after := Visit{Kind: Training, State: Due}
			after.Carry([]FollowUp{f}, c.until)
			if after.State == Held {
				t.Errorf("%s still holds on its recheck date", c.code)
			}
		}
	}
	if len(CouldNots()) != 12 {
		t.Errorf("%d codes: the table above has 12", len(CouldNots()))
	}
}

func TestNextSkillGoesUp(t *testing.T) {
	if nextSkill(Ground) != Lift || nextSkill(Lift) != LineClearance || nextSkill(LineClearance) != LineClearance {
		t.Error("the next try needs the next dearer crew")
	}
}

func TestFollowUpsEnd(t *testing.T) {
	on := day(2026, 11, 20)
	for _, c := range []struct {
		name string
		rec  WorkRecord
		lead WorkKind
		on   Date
		want []CouldNot
	}{
		{"the work was done after all", WorkRecord{Kinds: []WorkKind{Training}, Outcome: OutcomeDone}, "", on.AddDays(9), []CouldNot{NestFound, NeedsLift}},
		{"the site was checked", WorkRecord{Kinds: []WorkKind{Inspection}, Outcome: OutcomeDone}, "", on.AddDays(9), []CouldNot{TreeGone}},
		{"another cut was done", WorkRecord{Kinds: []WorkKind{RoadClearance}, Outcome: OutcomeDone}, "", on.AddDays(9), []CouldNot{NestFound}},
		{"the visit was done in other words", WorkRecord{Kinds: []WorkKind{RoadClearance}, Outcome: OutcomeDone}, Training, on.AddDays(9), []CouldNot{NestFound, NeedsLift}},
		{"the nest is still there", WorkRecord{Kinds: []WorkKind{Training}, Outcome: OutcomeNotDone, CouldNot: NestFound}, "", on.AddDays(42), []CouldNot{NestFound}},
		{"part of it", WorkRecord{Kinds: []WorkKind{Training}, Outcome: OutcomePart}, "", on.AddDays(9), nil},
		{"a record older than the hold", WorkRecord{Kinds: []WorkKind{Training}, Outcome: OutcomeDone}, "", on.AddDays(-9), nil},
	} {
		var past []PastRecord
		for i, code := range []CouldNot{NestFound, TreeGone, NeedsLift} {
			past = append(past, PastRecord{On: on, Record: WorkRecord{
				ID: string(rune('a' + i)), TreeID: 5, Finish: on.Time(), Kinds: []WorkKind{Training}, Outcome: OutcomeNotDone, CouldNot: code,
			}})
		}
		c.rec.ID, c.rec.Finish = "z", c.on.Time()
		var got []CouldNot
		for _, f := range Fold(youngTree(), nil, append(past, PastRecord{Record: c.rec, On: c.on, Lead: c.lead}), FoldRules{}).FollowUps {
			if !f.EndedOn.IsZero() {
				got = append(got, f.Code)
			}
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: ends %v, want %v", c.name, got, c.want)
		}
	}
}

func TestHazardVisit(t *testing.T) {
	p := Policy{ID: 3}
	p.Training.Reach, p.Wires.Approach = 4600, geo.Feet(10)
	p.Work.Kinds = []KindMinutes{{Kind: MakeSafe, Base: 30, PerCM: 1}}
	p.Work.SpreadPct = 20
	seen := time.Date(2026, 11, 20, 15, 0, 0, 0, time.UTC)
	tree, site := youngTree(), Site{ID: 9, WireClass: WireNone, ToWire: geo.None}
	o := HazardVisit(Hazard{What: "hanging limb", Class: 0, CalledTo: "desk", At: seen}, &tree, &site, &p, day(2026, 11, 20))
	if o.ActBy != seen.Add(24*time.Hour) || o.Visit.Window.Latest != day(2026, 11, 21) || o.Visit.Class != 0 || o.Visit.Skill != Ground {
		t.Errorf("class 0: %+v", o)
	}
	if o.Visit.Minutes != 49 { // (30 + 10.6) * 1.2, rounded up
		t.Errorf("minutes %d", o.Visit.Minutes)
	}
	tree.Height = 9000
	o = HazardVisit(Hazard{What: "crack", Class: 1, CalledTo: "desk", At: seen}, &tree, &site, &p, day(2026, 11, 20))
	if o.ActBy != seen.Add(7*24*time.Hour) || o.Visit.Window.Latest != day(2026, 11, 27) || o.Visit.Skill != Lift {
		t.Errorf("class 1: %+v", o)
	}
	site.WireClass, site.ToWire = WireUnknown, 3000
	if o = HazardVisit(Hazard{What: "crack", Class: 1, CalledTo: "desk", At: seen}, &tree, &site, &p, day(2026, 11, 20)); o.Visit.Skill != LineClearance {
		t.Errorf("an unknown line 3 m away: %s", o.Visit.Skill)
	}
}
