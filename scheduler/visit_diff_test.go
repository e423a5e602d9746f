package scheduler

import "testing"

func wantedVisit(k WorkKind) Visit {
	return Visit{
		TreeID: 5, SiteID: 9, Kind: k, Kinds: []WorkKind{k}, State: Due, Minutes: 10, Skill: Ground,
		Objectives: []string{"a", "b"}, Reasons: []Reason{{"r", "text", "source"}}, AsOf: day(2026, 11, 20), PolicyID: 1,
	}
}

func TestDigestIsTheContent(t *testing.T) {
	var buf []byte
	v := wantedVisit(Training)
	base := v.Digest(&buf)
	v.ID, v.AsOf, v.PolicyID, v.Revision, v.Progress = 7, v.AsOf+1, 2, 3, Open
	if v.Digest(&buf) != base {
		t.Error("day, policy, number and edit counter are no content")
	}
	for i, change := range []func(*Visit){
		func(v *Visit) { v.Window.Due++ },
		func(v *Visit) { v.State = Overdue },
		func(v *Visit) { v.Minutes++ },
		func(v *Visit) { v.HoldUntil++ },
		func(v *Visit) { v.Objectives = []string{"ab"} },
		func(v *Visit) { v.Objectives, v.Limits = []string{"a"}, []string{"b"} },
		func(v *Visit) { v.Reasons[0].Text = "tex"; v.Reasons[0].Source = "tsource" },
		func(v *Visit) { v.Kinds = append(v.Kinds, WalkClearance) },
	} {
		w := wantedVisit(Training)
		change(&w)
		if w.Digest(&buf) == base {
			t.Errorf("change %d is not seen", i)
		}
	}
}

func TestDiffVisits(t *testing.T) {
	var buf []byte
	v := wantedVisit(Training)
	v.Origin = FromRules
	same := v.Digest(&buf)
	for _, c := range []struct {
		name string
		open []OpenVisit
		want []Visit
		ops  []VisitOp
		same int
	}{
		{"nothing there", nil, []Visit{wantedVisit(Training)}, []VisitOp{VisitNew}, 0},
		{"the same", []OpenVisit{{1, Training, same, FromRules, false}}, []Visit{wantedVisit(Training)}, nil, 1},
		{"changed", []OpenVisit{{1, Training, same + 1, FromRules, true}}, []Visit{wantedVisit(Training)}, []VisitOp{VisitChanged}, 0},
		{"no longer wanted", []OpenVisit{{1, Training, same, FromRules, false}}, nil, []VisitOp{VisitWithdrawn}, 0},
		{"no longer wanted, in a live packet", []OpenVisit{{1, Training, same, FromRules, true}}, nil, nil, 1},
		{"a hazard stays", []OpenVisit{{1, MakeSafe, 0, FromHazard, false}}, nil, nil, 1},
		{"a hazard stands for the rules' own", []OpenVisit{{1, MakeSafe, 0, FromHazard, false}}, []Visit{wantedVisit(MakeSafe)}, nil, 1},
		{"another kind", []OpenVisit{{1, Training, same, FromRules, false}}, []Visit{wantedVisit(RotationPrune)}, []VisitOp{VisitNew, VisitWithdrawn}, 0},
	} {
		got, n, err := DiffVisits(c.open, c.want, &buf)
		if err != nil || n != c.same || len(got) != len(c.ops) {
			t.Errorf("%s: %d changes, %d same, %v", c.name, len(got), n, err)
			continue
		}
		for i := range got {
			if got[i].Op != c.ops[i] {
				t.Errorf("%s: change %d is %s", c.name, i, got[i].Op)
			}
		}
	}
	if _, _, err := DiffVisits(nil, []Visit{wantedVisit(Training), wantedVisit(Training)}, &buf); KindOf(err) != Internal {
		t.Errorf("two visits of a kind: %v", err)
	}
}
