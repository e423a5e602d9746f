package scheduler

// OpenVisit is what a due pass has to know of a visit that is open already.
type OpenVisit struct {
	ID     int64
	Kind   WorkKind
	Digest int64
	Origin Origin
	Live   bool // in a live packet: people are about to do it
}

// VisitOp is what is to happen to an open visit.
type VisitOp string

// The operations.
const (
	VisitNew       VisitOp = "new"
	VisitChanged   VisitOp = "changed"
	VisitWithdrawn VisitOp = "withdrawn"
)

// VisitChange is one difference between the visits a tree has and should have.
type VisitChange struct {
	Op     VisitOp
	ID     int64  // the open visit, with changed and withdrawn
	Visit  *Visit // what it should be, with new and changed
	Digest int64
}

// DiffVisits compares the open visits of one tree with those that the rules
// want now, kind by kind. A visit in a live packet is not withdrawn under people's
// feet. One that a hazard, a request or a record opened is not the rules' to change;
// it stands for theirs of the same kind. It answers the changes and how many stay as they are.
// Two wanted visits of one lead kind are a defect of the rules: Internal.
func DiffVisits(open []OpenVisit, want []Visit, buf *[]byte) ([]VisitChange, int, error) {
	var out []VisitChange
	same := 0
	for i := range want {
		w := &want[i]
		if w.Origin == "" {
			w.Origin = FromRules
		}
		for j := range i {
			if want[j].Kind == w.Kind {
				return nil, 0, Errorf(Internal, "tree %d: the rules want two open visits of kind %s", w.TreeID, w.Kind)
			}
		}
		digest := w.Digest(buf)
		have := openOfKind(open, w.Kind)
		switch {
		case have == nil:
			out = append(out, VisitChange{Op: VisitNew, Visit: w, Digest: digest})
		case have.Digest == digest || have.Origin != w.Origin:
			same++
		default:
			out = append(out, VisitChange{Op: VisitChanged, ID: have.ID, Visit: w, Digest: digest})
		}
	}
	for i := range open {
		o := &open[i]
		if wanted(want, o.Kind) {
			continue
		}
		if o.Origin != FromRules || o.Live {
			same++
			continue
		}
		out = append(out, VisitChange{Op: VisitWithdrawn, ID: o.ID})
	}
	return out, same, nil
}

func openOfKind(open []OpenVisit, k WorkKind) *OpenVisit {
	for i := range open {
		if open[i].Kind == k {
			return &open[i]
		}
	}
	return nil
}

func wanted(want []Visit, k WorkKind) bool {
	for i := range want {
		if want[i].Kind == k {
			return true
		}
	}
	return false
}
