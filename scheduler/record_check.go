package scheduler

import (
	"encoding/hex"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"limbround/geo"
)

// maxAhead is how far a record's finish may lie ahead of the clock: a field
// device whose clock is a little fast is no error.
const maxAhead = 24 * time.Hour

// maxWork bounds the time from start to finish of one record.
const maxWork = 24 * time.Hour

// Check returns every broken rule of the record that can be seen without the
// tree. now is the server's clock.
func (r *WorkRecord) Check(now time.Time) []Fault {
	var c checker
	if !isUUID(r.ID) {
		c.add("id", r.ID, "a record's id is a UUID made by the client, 8-4-4-4-12 hexadecimal digits")
	}
	if r.TreeID <= 0 {
		c.add("tree_id", strconv.FormatInt(r.TreeID, 10), "a record names its tree")
	}
	if strings.TrimSpace(r.By) == "" {
		c.add("by", r.By, "a record names who did the work")
	}
	if len(r.ApprovedBy) > 200 {
		c.add("approved_by", "", "the approver's name has at most 200 bytes")
	}
	r.checkTimes(&c, now)
	r.checkOutcome(&c)
	r.checkSizes(&c)
	for i := range r.Watch {
		r.Watch[i].check(&c, "watch["+strconv.Itoa(i)+"]")
	}
	if h := r.Hazard; h != nil {
		if strings.TrimSpace(h.What) == "" {
			c.add("hazard.what", h.What, "a hazard says what was seen")
		}
		if h.Class != 0 && h.Class != 1 {
			c.add("hazard.class", strconv.Itoa(h.Class), "a hazard is class 0 (down, hanging, split or on a wire) or 1 (to be assessed within days)")
		}
		if strings.TrimSpace(h.CalledTo) == "" {
			c.add("hazard.called_to", h.CalledTo, "a hazard names who was told")
		}
		if h.At.After(now.Add(maxAhead)) {
			c.add("hazard.at", h.At.Format(time.RFC3339), "a hazard cannot be seen in the future")
		}
	}
	return c.faults
}

func (r *WorkRecord) checkTimes(c *checker, now time.Time) {
	start, finish := r.Start.Format(time.RFC3339), r.Finish.Format(time.RFC3339)
	switch {
	case r.Start.IsZero():
		c.add("start", "", "a record has a start time")
	case r.Finish.IsZero():
		c.add("finish", "", "a record has a finish time")
	case r.Finish.Before(r.Start):
		c.add("finish", finish, "the finish is not before the start "+start)
	case r.Finish.Sub(r.Start) > maxWork:
		c.add("finish", finish, "one record covers at most 24 hours from its start "+start)
	case r.Finish.After(now.Add(maxAhead)):
		c.add("finish", finish, "the finish is not more than a day after now, "+now.UTC().Format(time.RFC3339))
	}
}

func (r *WorkRecord) checkOutcome(c *checker) {
	if len(r.Kinds) == 0 {
		c.add("kinds", "", "a record names at least one kind of work")
	}
	for _, k := range r.Kinds {
		if !slices.Contains(workKinds, k) {
			c.add("kinds", string(k), "unknown kind of work")
		}
	}
	if !known(r.Outcome, OutcomeDone, OutcomePart, OutcomeNotDone) {
		c.add("outcome", string(r.Outcome), "the outcome is done, part or not_done")
	}
	switch {
	case r.CouldNot != "" && !slices.Contains(CouldNots(), r.CouldNot):
		c.add("could_not", string(r.CouldNot), "unknown code for work that could not be done")
	case r.Outcome == OutcomeNotDone && r.CouldNot == "":
		c.add("could_not", "", "work that was not done has a code that says why")
	case r.Outcome == OutcomeDone && r.CouldNot != "":
		c.add("could_not", string(r.CouldNot), "finished work has no code for work that could not be done")
	}
	if r.LiveCrown < 0 || r.LiveCrown > 100 {
		c.add("live_crown_pct", strconv.Itoa(r.LiveCrown), "live crown taken lies between 0 and 100 per cent")
	}
	if r.Outcome == OutcomeNotDone && r.LiveCrown > 0 {
		c.add("live_crown_pct", strconv.Itoa(r.LiveCrown), "no live crown was taken when nothing was done")
	}
	if !known(r.Source, "field", "history") && r.Source != "" {
		c.add("source", r.Source, "a record comes from field or history")
	}
	for _, n := range []int{r.Cuts.Under1, r.Cuts.OneTwo, r.Cuts.TwoFour, r.Cuts.Over4} {
		if n < 0 || n > 1000 {
			c.add("cuts", strconv.Itoa(n), "a cut tally lies between 0 and 1000")
		}
	}
}

func (r *WorkRecord) checkSizes(c *checker) {
	c.length("base_road_mm", r.BaseRoad, 30*geo.Metre)
	c.length("base_walk_mm", r.BaseWalk, 30*geo.Metre)
	c.length("dbh_mm", r.DBH, 4*geo.Metre)
	c.length("height_mm", r.Height, 60*geo.Metre)
	c.length("lowest_permanent_mm", r.Permanent, 30*geo.Metre)
	r.PermanentBranch.check(c, r.Permanent)
	if r.Height > 0 && max(r.BaseRoad, r.BaseWalk) > r.Height {
		c.add("height_mm", strconv.Itoa(int(r.Height)), "the height is not below the lowest foliage")
	}
	if r.Stage != "" && r.Stage.rank() < 0 {
		c.add("stage", string(r.Stage), "unknown training stage")
	}
	r.checkFound(c)
	if r.Vigour != "" && !known(r.Vigour, VigourGood, VigourFair, VigourPoor) {
		c.add("vigour", string(r.Vigour), "vigour is good, fair or poor")
	}
}

func (w *WatchFinding) check(c *checker, at string) {
	if w.Letter != "" && letterRank(w.Letter) == 0 {
		c.add(at+".letter", w.Letter, "a watch letter is one or two capital letters")
	}
	if w.Letter == "" && strings.TrimSpace(w.What) == "" {
		c.add(at+".what", w.What, "a new watch item says what it is")
	}
	if w.Letter == "" && !w.Resolved && w.Intent == "" {
		c.add(at+".intent", "", "a new watch item says what is to become of it")
	}
	if w.Intent != "" && !known(w.Intent, RemoveLater, HoldTier, DecideNext, WatchOnly) {
		c.add(at+".intent", string(w.Intent), "the intent is remove_later, hold_as_lower_tier, decide_next_visit or watch")
	}
	if w.Side != "" && !w.Side.ofTree() {
		c.add(at+".side", string(w.Side), "the side is road, walk, up_street, down_street, left or right")
	}
	c.length(at+".height_mm", w.Height, 60*geo.Metre)
	c.length(at+".diameter_mm", w.Diameter, 4*geo.Metre)
	c.length(at+".stem_diameter_mm", w.StemDiameter, 4*geo.Metre)
}

// checker collects faults.
type checker struct{ faults []Fault }

func (c *checker) add(field, value, rule string) {
	c.faults = append(c.faults, Fault{Field: field, Value: value, Rule: rule})
}

func (c *checker) length(field string, l, most geo.Length) {
	if l > most {
		c.add(field, strconv.Itoa(int(l)), fmt.Sprintf("it is at most %d mm", int(most)))
	}
}

func isUUID(s string) bool {
	if len(s) != 36 || s[8] != '-' || s[13] != '-' || s[18] != '-' || s[23] != '-' {
		return false
	}
	b, err := hex.DecodeString(strings.ReplaceAll(s, "-", ""))
	return err == nil && len(b) == 16
}

// known reports whether w is one of the words.
func known[T ~string](w T, words ...T) bool { return slices.Contains(words, w) }
