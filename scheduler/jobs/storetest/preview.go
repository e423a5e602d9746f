package storetest

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

// A preview writes nothing, looks only at what the change can touch, and says
// of every visit what adopting the policy and a due pass then do to it.
func previewForetells(t *testing.T, w *town) {
	const oak = `to: 07-31
      groups: [oak]`
	for _, c := range []struct {
		name    string
		replace []string
		looked  int
		moves   bool
	}{
		{"the same rules under another name", []string{`adopted_by: ""`, "adopted_by: council"}, 0, false},
		{"a longer oak season", []string{oak, "to: 12-15\n      groups: [oak]"}, 1, true},
		{"other intervals and states", []string{"interval_seasons: 3", "interval_seasons: 6", "latest_plus_seasons: 1", "latest_plus_seasons: 0"}, 6, true},
		{"other working seasons", []string{"dormant: {from: 11-01, to: 03-31}", "dormant: {from: 12-01, to: 02-15}"}, 6, true},
	} {
		w.due()
		before, stored := w.picture(), w.openByTree()
		p, _ := w.changed(c.replace...)
		var list []scheduler.VisitShift
		got, err := jobs.PolicyPreview{Store: w, Now: w.clock, List: func(s *scheduler.VisitShift) error {
			list = append(list, *s)
			return nil
		}}.Run(t.Context(), p, 0)
		w.must(err)
		if diff := difference(before, w.picture()); diff != "" {
			t.Errorf("%s: the preview wrote (-before +after):\n%s", c.name, diff)
		}
		if got.Trees != 6 || got.Looked != c.looked || (len(list) > 0) != c.moves {
			t.Errorf("%s: looked at %d of %d trees, %d visits move: %s", c.name, got.Looked, got.Trees, len(list), got.Words)
		}
		w.adopt(c.replace...)
		w.due()
		var want []scheduler.VisitShift
		var tally scheduler.ShiftTally
		for _, ts := range w.allTrees() {
			in := scheduler.DueInput{Tree: ts.Tree, Site: ts.Site}
			for _, s := range scheduler.DiffRules(&in, stored[ts.Tree.ID], w.openByTree()[ts.Tree.ID], p.Seasons.LeafOn) {
				tally.Add(&s)
				want = append(want, s)
			}
		}
		if diff := cmp.Diff(want, list); diff != "" {
			t.Errorf("%s: adopted, the visits moved otherwise (-moved +foretold):\n%s", c.name, diff)
		}
		told := scheduler.PolicyPreview{Trees: got.Trees}
		tally.Fill(&told)
		if told.Words != got.Words {
			t.Errorf("%s: it says %q, want %q", c.name, got.Words, told.Words)
		}
		w.adopt("spread_pct: 25", "spread_pct: 25 # "+c.name) // back to the first rules
	}
}

func (w *town) allTrees() []scheduler.TreeSite {
	w.t.Helper()
	list, _, err := w.TreeList(w.t.Context(), scheduler.TreeFilter{}, 0, 1000)
	w.must(err)
	return list
}

func (w *town) openByTree() map[int64][]scheduler.Visit {
	w.t.Helper()
	open := map[int64][]scheduler.Visit{}
	for _, ts := range w.allTrees() {
		list, err := w.VisitsOfTree(w.t.Context(), ts.Tree.ID, false)
		w.must(err)
		open[ts.Tree.ID] = list
	}
	return open
}
