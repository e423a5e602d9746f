package scheduler

// DueStats is what one run of the rules over the trees counted.
type DueStats struct {
	Trees    int                `json:"trees"`  // in the city, or those asked for
	Looked   int                `json:"looked"` // at which the rules looked
	Visits   int                `json:"visits"` // open visits after the run
	Due      int                `json:"due"`
	Overdue  int                `json:"overdue"` // workable now or closed until a date
	ByKind   map[WorkKind]int   `json:"by_kind"`
	ByState  map[VisitState]int `json:"by_state"`
	Written  DueWritten         `json:"written"`
	AsOf     Date               `json:"as_of"`
	PolicyID int64              `json:"policy_id"`
}

// DueWritten counts what the run did to the open visits. Skipped are changes to
// visits of trees that were recorded while the run was under way; the record made their visits itself.
type DueWritten struct {
	New       int `json:"new"`
	Changed   int `json:"changed"`
	Withdrawn int `json:"withdrawn"`
	Unchanged int `json:"unchanged"`
	Skipped   int `json:"skipped"`
}

// Count adds n open visits of one kind and state to the totals.
func (s *DueStats) Count(k WorkKind, st VisitState, n int) {
	if s.ByKind == nil {
		s.ByKind, s.ByState = map[WorkKind]int{}, map[VisitState]int{}
	}
	s.Visits += n
	s.ByKind[k] += n
	s.ByState[st] += n
	switch st {
	case Due:
		s.Due += n
	case Overdue, OverdueClosed:
		s.Overdue += n
	}
}

// DueProgress is told the number of trees done so far, from time to time.
type DueProgress func(trees int)
