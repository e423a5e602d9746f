package scheduler

// DueScope says which trees a due pass looks at. The zero scope is every tree.
type DueScope struct {
	Trees []int64 // these alone, when not nil
	Stale bool    // those whose facts have changed since a pass looked at them
	Touch DueTouch
}

// DueTouch says which trees a change of the rules can touch. The zero touch is none.
type DueTouch struct {
	All     bool
	Species []string      // codes; the empty one is a tree without a species
	Streets []StreetClass // of the street that the site lies on
}

// City reports whether the pass looks at every tree.
func (s *DueScope) City() bool { return s.Trees == nil && (!s.Stale || s.Touch.All) }

// None reports whether the change touches no tree.
func (t *DueTouch) None() bool {
	return !t.All && len(t.Species) == 0 && len(t.Streets) == 0
}

// DueRun is a pass after which the visits of the whole city were those of one
// day and one policy.
type DueRun struct {
	AsOf     Date
	PolicyID int64
}
