package scheduler

// VisitFilter takes open visits that match all of its set fields.
type VisitFilter struct {
	State      VisitState
	Kind       WorkKind
	District   string // ref
	LateBefore Date   // last date before this day
	UpToClass  *int   // class at most this; nil takes all
}
