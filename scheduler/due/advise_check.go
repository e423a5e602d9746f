package due

import (
	"fmt"
	"slices"
	"strconv"

	"limbround/geo"
	"limbround/scheduler"
)

// The widest figures that are no slip of a digit or a unit.
const (
	widestBranch  geo.Length = 3000
	highestBranch geo.Length = 80 * geo.Metre
	longestText              = 200
)

// bare turns lengths that are absent in a body into lengths that were not measured.
func (q *Branch) bare() {
	for _, l := range []*geo.Length{&q.Diameter, &q.Stem, &q.Height, &q.Gap, &q.Contact, &q.Lateral, &q.WireGap} {
		if *l == geo.None {
			*l = 0
		}
	}
}

// check names every field of a branch that breaks a rule.
func (q *Branch) check() error {
	var faults []scheduler.Fault
	refuse := func(field, value, rule string) {
		faults = append(faults, scheduler.Fault{Field: field, Value: value, Rule: rule})
	}
	if !slices.Contains(BranchRoles(), q.Role) {
		refuse("role", string(q.Role), fmt.Sprintf("want one of %v", BranchRoles()))
	}
	if q.On.IsZero() {
		refuse("on", "", "the day of the cut is required")
	} else if y, _, _ := civil(q.On); y < 1950 || y > 2150 {
		refuse("on", q.On.String(), "want a day from 1950 to 2150")
	}
	for _, l := range []struct {
		field string
		v, hi geo.Length
	}{
		{"diameter_mm", q.Diameter, widestBranch},
		{"stem_diameter_mm", q.Stem, 2 * widestBranch},
		{"height_mm", q.Height, highestBranch},
		{"gap_mm", q.Gap, widestBranch},
		{"contact_mm", q.Contact, widestBranch},
		{"lateral_mm", q.Lateral, widestBranch},
		{"wire_gap_mm", q.WireGap, highestBranch},
	} {
		if l.v < 0 || l.v > l.hi {
			refuse(l.field, strconv.Itoa(int(l.v)), fmt.Sprintf("want 0 to %d", int(l.hi)))
		}
	}
	if q.Diameter == 0 {
		refuse("diameter_mm", "", "the branch's diameter just beyond the union is required")
	}
	for _, p := range []struct {
		field string
		v     int
	}{{"share_pct", q.Share}, {"dose_used_pct", q.DoseUsed}, {"side_used_pct", q.SideUsed}, {"reduced_pct", q.ReducedPct}} {
		if p.v < 0 || p.v > 100 {
			refuse(p.field, strconv.Itoa(p.v), "want 0 to 100")
		}
	}
	if q.SizedOn > q.On {
		refuse("measured_on", q.SizedOn.String(), "lies after the day of the cut")
	}
	if q.ReducedOn > q.On {
		refuse("reduced_on", q.ReducedOn.String(), "lies after the day of the cut")
	}
	if !q.NextVisit.IsZero() && (q.NextVisit <= q.On || q.NextVisit > q.On+maxAhead) {
		refuse("next_visit", q.NextVisit.String(), "want a day after the cut, within 60 years")
	}
	oneOf(refuse, "attitude", q.Attitude, "", UprightStem, SpreadingBranch, DroopingBranch)
	oneOf(refuse, "intent", q.Intent, "", scheduler.RemoveLater, scheduler.HoldTier, scheduler.DecideNext, scheduler.WatchOnly)
	oneOf(refuse, "side", q.Side, "", scheduler.SideRoad, scheduler.SideWalk, scheduler.SideUpStreet, scheduler.SideDownStreet)
	for _, s := range q.Signs {
		oneOf(refuse, "signs", s, StopSigns()...)
	}
	for _, s := range []struct{ field, v string }{{"stated_reason", q.Stated}, {"approver", q.Approver}} {
		if len(s.v) > longestText {
			refuse(s.field, s.v[:20]+" ...", "want at most 200 bytes")
		}
	}
	if len(faults) > 0 {
		return &scheduler.Error{Kind: scheduler.Invalid, Message: "the question about the branch breaks rules", Fields: faults}
	}
	return nil
}

const maxAhead = 60 * 366

func oneOf[T ~string](refuse func(field, value, rule string), field string, v T, want ...T) {
	if !slices.Contains(want, v) {
		refuse(field, string(v), fmt.Sprintf("want one of %q", want))
	}
}
