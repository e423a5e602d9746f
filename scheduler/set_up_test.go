package scheduler

import "testing"

func TestSetUpForKeepsLanesOpenWhereItCan(t *testing.T) {
	w := WorkRules{SetUp: map[StreetClass]int{Arterial: 20, Collector: 12, Residential: 8, Alley: 6}, WalkSetUp: 2}
	for _, c := range []struct {
		name  string
		v     Visit
		class StreetClass
		want  int
	}{
		{"training from the walk", Visit{Kind: Training, Skill: Ground}, Residential, 2},
		{"training on an arterial", Visit{Kind: Training, Skill: Ground}, Arterial, 20},
		{"training with a lift", Visit{Kind: Training, Skill: Lift}, Residential, 8},
		{"road side comes along", Visit{Kind: Training, Kinds: []WorkKind{Training, RoadClearance}, Skill: Ground}, Residential, 8},
		{"removal in an alley", Visit{Kind: Removal}, Alley, 6},
		{"park tree", Visit{Kind: Removal, Skill: Lift}, "", 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := w.SetUpFor(&c.v, c.class); got != c.want {
				t.Errorf("%d minutes, want %d", got, c.want)
			}
		})
	}
}

func TestNeedsTwo(t *testing.T) {
	for _, c := range []struct {
		v    Visit
		want bool
	}{
		{Visit{Kind: Inspection}, false},
		{Visit{Kind: Inspection, Kinds: []WorkKind{Inspection, Training}}, true},
		{Visit{Kind: Establishment, Skill: Ground}, false},
		{Visit{Kind: FirstLook, Skill: Lift}, true},
		{Visit{Kind: Removal}, true},
	} {
		if got := c.v.NeedsTwo(); got != c.want {
			t.Errorf("%s %v %s: %v, want %v", c.v.Kind, c.v.Kinds, c.v.Skill, got, c.want)
		}
	}
}
