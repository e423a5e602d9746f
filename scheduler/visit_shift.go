package scheduler

// VisitMove says what other rules would do to one visit.
type VisitMove string

// The moves. A visit that stays on its days may still get another state.
const (
	MoveEarlier   VisitMove = "earlier"
	MoveLater     VisitMove = "later"
	MoveNew       VisitMove = "new"
	MoveWithdrawn VisitMove = "withdrawn"
	MoveState     VisitMove = "state"
)

// VisitShift is one visit of a tree that other rules would move. Days and
// Seasons are signed: negative is earlier. A season is a growing season.
type VisitShift struct {
	Tree        string     `json:"tree"`
	District    string     `json:"district"`
	Kind        WorkKind   `json:"kind"`
	Move        VisitMove  `json:"move"`
	Before      Date       `json:"due_before"`
	After       Date       `json:"due_after"`
	Days        int        `json:"days"`
	Seasons     int        `json:"seasons"`
	StateBefore VisitState `json:"state_before"`
	StateAfter  VisitState `json:"state_after"`
}

// DiffRules compares the visits that two sets of rules want of one tree, kind by
// lead kind, and answers those that move. A visit moves by its due day or, when
// that stays, by its last day. leafOn is the growing season of the rules to come.
func DiffRules(in *DueInput, before, after []Visit, leafOn MonthSpan) []VisitShift {
	var out []VisitShift
	shift := func(k WorkKind) VisitShift {
		return VisitShift{Tree: in.Tree.Ref, District: in.Site.District, Kind: k}
	}
	for i := range after {
		a := &after[i]
		s := shift(a.Kind)
		s.After, s.StateAfter = a.Window.Due, a.State
		b := leadBy(before, a.Kind)
		if b == nil {
			s.Move = MoveNew
			out = append(out, s)
			continue
		}
		s.Before, s.StateBefore = b.Window.Due, b.State
		from, to := b.Window.Due, a.Window.Due
		if from == to {
			from, to = b.Window.Latest, a.Window.Latest
		}
		s.Days, s.Seasons = int(to-from), leafOn.DoseSeason(to)-leafOn.DoseSeason(from)
		switch {
		case to < from:
			s.Move = MoveEarlier
		case to > from:
			s.Move = MoveLater
		case a.State != b.State:
			s.Move = MoveState
		default:
			continue
		}
		out = append(out, s)
	}
	for i := range before {
		b := &before[i]
		if leadBy(after, b.Kind) == nil {
			s := shift(b.Kind)
			s.Move, s.Before, s.StateBefore = MoveWithdrawn, b.Window.Due, b.State
			out = append(out, s)
		}
	}
	return out
}

func leadBy(list []Visit, k WorkKind) *Visit {
	for i := range list {
		if list[i].Kind == k {
			return &list[i]
		}
	}
	return nil
}
