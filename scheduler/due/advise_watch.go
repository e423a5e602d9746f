package due

import "limbround/scheduler"

// Fill turns a watch item into the question about its branch; what the
// question states already stands. False when the item's words name no role,
// as those of a union to be looked at.
func (q *Branch) Fill(w *scheduler.WatchItem) bool {
	if q.Role == "" {
		q.Role = roleIn(w)
	}
	if q.Diameter == 0 {
		q.Diameter, q.SizedOn = max(0, w.Diameter), w.SeenOn
		if q.Stem == 0 {
			q.Stem = max(0, w.StemDiameter)
		}
	}
	if q.Height == 0 {
		q.Height = max(0, w.Height)
	}
	if q.Side == "" {
		q.Side = w.Side
	}
	if q.Intent == "" {
		q.Intent = w.Intent
	}
	if q.ReducedOn.IsZero() {
		q.ReducedOn = w.ReducedOn
	}
	q.IncludedBark = q.IncludedBark || w.IncludedBark
	return q.Role != ""
}

// roleIn reads the role out of the words by which a crew leader named an item.
func roleIn(w *scheduler.WatchItem) BranchRole {
	for _, r := range [...]struct {
		word string
		role BranchRole
	}{
		{"dead", DeadBranch},
		{"broken", BrokenBranch},
		{"diseas", DiseasedBranch},
		{"stub", Stub},
		{"sprout", BasalSprout},
		{"cross", CrossingBranch},
		{"rub", CrossingBranch},
		{"press", PressingBranch},
		{"crowd", CrowdingBranch},
		{"temporary", TemporaryBranch},
		{"permanent", PermanentBranch},
		{"end", EndWeight},
		{"top", CompetingTop},
		{"leader", CompetingLeader},
		{"codominant", CompetingLeader},
		{"stem", CompetingLeader},
		{"lane", LaneSide},
		{"walk", WalkSide},
	} {
		if holds(w.What, r.word) {
			return r.role
		}
	}
	return ""
}
