package scheduler

import (
	"slices"
	"strings"
	"time"
)

// DeviationRule names the rule of the policy that work departed from.
type DeviationRule string

// The rules that a work record is held against, and the manager's own entry.
const (
	DeviationDose    DeviationRule = "live_crown"     // more live crown in one growing season than the policy allows
	DeviationSeason  DeviationRule = "closed_season"  // a live cut in a closed season
	DeviationCut     DeviationRule = "cut_size"       // a cut above the size that needs a call
	DeviationRatio   DeviationRule = "cut_table"      // a branch removed that the cut table says to reduce or hold
	DeviationBase    DeviationRule = "crown_base"     // raised above the highest base that the live crown allows
	DeviationTooSoon DeviationRule = "growing_season" // a stem removed before a full growing season after its reduction
	DeviationWire    DeviationRule = "wire"           // a crew without line clearance near a line
	DeviationOther   DeviationRule = "other"          // what the manager writes down
)

// DeviationRules lists the rules.
func DeviationRules() []DeviationRule {
	return []DeviationRule{
		DeviationDose, DeviationSeason, DeviationCut, DeviationRatio, DeviationBase, DeviationTooSoon, DeviationWire, DeviationOther,
	}
}

// Deviation is one entry of the log of departures from the policy in force. It
// judges nobody: with an approver it says who answers for the departure.
type Deviation struct {
	ID         int64         `json:"id"`
	PolicyID   int64         `json:"policy_id"` // in force on the day of the work
	TreeID     int64         `json:"tree_id,omitempty"`
	Tree       string        `json:"tree,omitempty"`      // the city's number
	RecordID   string        `json:"record_id,omitempty"` // empty for the manager's own entry
	Rule       DeviationRule `json:"rule"`
	Item       string        `json:"item,omitempty"` // letter of the watch item, or the side
	Allowed    string        `json:"allowed,omitempty"`
	Found      string        `json:"found,omitempty"`
	Why        string        `json:"why,omitempty"`
	ApprovedBy string        `json:"approved_by,omitempty"`
	On         Date          `json:"on"` // the day of the work
	Actor      string        `json:"actor"`
	At         time.Time     `json:"logged_at"`
}

// Check returns the broken rules of the manager's own entry.
func (d *Deviation) Check() []Fault {
	var c checker
	if !slices.Contains(DeviationRules(), d.Rule) {
		c.add("rule", string(d.Rule), "want one of: "+words(DeviationRules()))
	}
	if strings.TrimSpace(d.Why) == "" {
		c.add("why", d.Why, "an entry says why the policy was departed from")
	}
	if strings.TrimSpace(d.ApprovedBy) == "" {
		c.add("approved_by", d.ApprovedBy, "an entry names who approved it")
	}
	if len(d.Why) > 2000 {
		c.add("why", "", "at most 2000 bytes")
	}
	return c.faults
}

// Before is the tree as it stood at the work of the record: its records that
// come earlier in the order of the work, read over its base.
func (in *RecordInput) Before(rules FoldRules) Tree {
	this := in.past()
	earlier := slices.DeleteFunc(slices.Clone(in.Past), func(p PastRecord) bool { return p.compare(&this) >= 0 })
	return Fold(in.Base, in.Tree.Watch, earlier, rules).Tree
}

// DoseAfter lists the records of the same growing season that come after this
// one in the order of the work, each with the live crown that the season had given once it was done.
func (in *RecordInput) DoseAfter(before *Tree, leafOn MonthSpan) []SeasonDose {
	this, season := in.past(), leafOn.DoseSeason(in.On)
	used := in.Record.LiveCrown
	if before.DoseSeason == season {
		used += before.DoseUsed
	}
	later := slices.DeleteFunc(slices.Clone(in.Past), func(p PastRecord) bool {
		return p.InBase || p.compare(&this) <= 0 || p.Record.LiveCrown == 0 || leafOn.DoseSeason(p.On) != season
	})
	slices.SortFunc(later, func(a, b PastRecord) int { return a.compare(&b) })
	out := make([]SeasonDose, len(later))
	for i := range later {
		used += later[i].Record.LiveCrown
		out[i] = SeasonDose{Record: &later[i].Record, On: later[i].On, Used: used}
	}
	return out
}

// SeasonDose is the live crown that a growing season had given after a record, per cent.
type SeasonDose struct {
	Record *WorkRecord
	On     Date
	Used   int
}
