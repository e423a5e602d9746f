package storetest

import (
	"fmt"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

// Work that departs from the policy in force on its day is logged with its
// record, once, also when the record comes late or puts a later one in another light.
func departuresAreLogged(t *testing.T, w *town) {
	w.due()
	oak := scheduler.Visit{TreeID: w.treeNamed("PL-2").ID, Kinds: []scheduler.WorkKind{scheduler.Training}}
	on := func(n int, day string, pct int, more func(*scheduler.WorkRecord)) scheduler.WorkRecord {
		return w.recordOf(n, oak, func(r *scheduler.WorkRecord) {
			at, err := time.Parse(time.DateOnly, day)
			w.must(err)
			r.Start, r.Finish, r.LiveCrown = at.Add(14*time.Hour), at.Add(15*time.Hour), pct
			if more != nil {
				more(r)
			}
		})
	}
	logged := func(what string, since scheduler.Date, want ...string) {
		t.Helper()
		list, matched, err := w.DeviationList(t.Context(), since, 0, 100)
		w.must(err)
		var got []string
		for _, d := range list {
			got = append(got, fmt.Sprintf("%s %s: %s, allowed %s, found %s, approved by %q, policy %t, by %s",
				d.On, d.Tree, d.Rule, d.Allowed, d.Found, d.ApprovedBy, d.PolicyID != 0, d.Actor))
		}
		if diff := cmp.Diff(want, got); diff != "" || matched != len(list) {
			t.Errorf("%s: %d logged (-want +got):\n%s", what, matched, diff)
		}
	}
	w.send(on(1, "2026-11-20", 20, nil))
	logged("work within the limits", 0)
	late := on(2, "2026-11-18", 20, nil)
	w.send(late)
	dose := `2026-11-20 PL-2: live_crown, allowed 35 % of the live crown in the growing season 2027, found 40 %, approved by "", policy true, by card`
	logged("a late record shows that the later one went over", 0, dose)
	w.send(late)
	logged("the same record again", 0, dose)
	w.send(on(3, "2025-05-10", 60, nil))
	w.send(on(4, "2026-11-19", 0, func(r *scheduler.WorkRecord) {
		r.Outcome, r.CouldNot = scheduler.OutcomeNotDone, scheduler.Weather
	}))
	logged("work from before the policy, and none at all", 0, dose)
	w.send(on(5, "2026-05-10", 5, func(r *scheduler.WorkRecord) { r.ApprovedBy, r.Note = "M. Ito", "hid a sign" }))
	oakInMay := `2026-05-10 PL-2: closed_season, allowed oak closed season: no live cut before 2026-08-01 (state natural resources agency (put yours here)), ` +
		`found live cut on 2026-05-10, approved by "M. Ito", policy true, by card`
	logged("a late oak cut in May", 0, dose, oakInMay)

	add := jobs.AddDeviation{Store: w, Now: w.clock}
	_, err := add.Run(t.Context(), jobs.DeviationRequest{Rule: scheduler.DeviationOther, Actor: "manager"})
	w.wants(scheduler.Invalid, err)
	_, err = add.Run(t.Context(), jobs.DeviationRequest{Rule: scheduler.DeviationOther, Why: "festival", ApprovedBy: "M. Ito", Tree: "PL-99", Actor: "manager"})
	w.wants(scheduler.NotFound, err)
	d, err := add.Run(t.Context(), jobs.DeviationRequest{Rule: scheduler.DeviationOther, Why: "festival", ApprovedBy: "M. Ito", Tree: "PL-3", Actor: "manager"})
	w.must(err)
	if d.ID == 0 || d.On != w.today() {
		t.Errorf("the manager's own entry: %+v", d)
	}
	own := `2026-11-20 PL-3: other, allowed , found , approved by "M. Ito", policy true, by manager`
	logged("the manager's own entry", 0, dose, oakInMay, own)
	logged("since June", scheduler.NewDate(2026, 6, 1), dose, own)
	page, matched, err := w.DeviationList(t.Context(), 0, d.ID-1, 1)
	w.must(err)
	if len(page) != 1 || page[0].ID != d.ID || matched != 3 {
		t.Errorf("a page of one: %+v of %d", page, matched)
	}
}
