package scheduler

import "strconv"

// applyFound takes over that the tree was found dead, or alive after all,
// whatever became of the work. Only the newest look counts, and work on the tree
// says nothing of it: what was recorded as dead stays so until a record finds it
// alive. A stump is neither.
func applyFound(t *Tree, r *WorkRecord, on Date) {
	if r.Found == "" {
		return
	}
	if on >= max(t.LastVisit, t.MeasuredOn, t.BaseOn) && (t.State == Alive || t.State == Dead) {
		t.State = r.Found
	}
	if r.Found == Dead { // the day from which its removal counts
		t.LastVisit = max(t.LastVisit, on)
	}
}

func (r *WorkRecord) checkFound(c *checker) {
	switch r.Found {
	case "", Alive:
	case Dead:
		if r.LiveCrown > 0 {
			c.add("live_crown_pct", strconv.Itoa(r.LiveCrown), "no live crown is taken of a tree that was found dead")
		}
	default:
		c.add("found", string(r.Found), "a tree is found dead or alive; a stump or an empty site is left by its own work")
	}
}
