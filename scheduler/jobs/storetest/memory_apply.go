package storetest

import (
	"slices"
)

// keep notes a row as it was before a batch changes it, once.
func (s *state) keep(batch, row int64, before any) {
	delete(s.bases, row) // a tree's new facts are the base of what comes
	if !slices.ContainsFunc(s.changes, func(c change) bool { return c.batch == batch && c.row == row }) {
		s.changes = append(s.changes, change{batch, row, before})
	}
}

// applyTrees writes what the rows of a tree file make: sites that change,
// known trees, new sites and trees, and what was measured.
func (s *state) applyTrees(batch int64, rows []judged) {
	var list []*judged
	for i := range rows {
		if v := rows[i].verdict; v == "new" || v == "changed" {
			list = append(list, &rows[i])
		}
	}
	s.applySites(batch, list)
	made := map[string]int64{} // new sites by the key of their row
	for _, j := range list {
		w := &j.want
		if w.site.id == 0 && w.share == nil {
			w.site.id, w.site.batch = s.id(), batch
			made[j.ref] = w.site.id
			s.sites[w.site.id] = w.site
		}
	}
	for _, j := range list {
		w := &j.want
		switch t := w.have; {
		case w.isNew:
			t.Tree, t.batch, t.revision = w.tree, batch, 1
			t.ID, t.SiteID = s.id(), w.site.id
			if w.share != nil {
				t.SiteID = made[w.share.ref]
			}
			s.trees[t.ID] = t
			s.fillVacant(batch, &t)
			s.measure(batch, t.ID, w)
		case w.treeDiffers:
			s.keep(batch, t.ID, t)
			t.Tree = w.tree
			t.revision++
			s.trees[t.ID] = t
			s.measure(batch, t.ID, w)
		default:
			s.measure(batch, t.ID, w)
		}
	}
}

// applySites changes the sites. When two rows speak for one, the standing
// tree's counts, then the first.
func (s *state) applySites(batch int64, list []*judged) {
	order := slices.Clone(list)
	sortBy(order, func(j **judged) []any { return []any{upright((*j).want.tree.State), -(*j).line} })
	for _, j := range order { // the one that counts comes last
		if w := &j.want; w.siteDiffers {
			s.keep(batch, w.site.id, s.sites[w.site.id])
			s.sites[w.site.id] = w.site
		}
	}
}

// fillVacant ends the vacancy of a site that has a new tree.
func (s *state) fillVacant(batch int64, t *treeRow) {
	if !upright(t.State) {
		return
	}
	for _, o := range byID(s.trees, func(o *treeRow) bool { return o.SiteID == t.SiteID && o.State == "vacant" && o.batch != batch }) {
		before := o
		if i := slices.IndexFunc(s.changes, func(c change) bool { return c.batch == batch && c.row == o.ID }); i >= 0 {
			before = s.changes[i].before.(treeRow)
		}
		s.keep(batch, o.ID, o)
		o.State, o.revision = "removed", before.revision+1
		s.trees[o.ID] = o
	}
}

// measure keeps what the file measured on a stated day, unless it is kept already.
func (s *state) measure(batch, tree int64, w *wantTree) {
	m := w.measured
	if m.On.IsZero() || !max(m.DBH, m.Height, m.Crown, m.BaseRoad, m.BaseWalk).Known() {
		return
	}
	if !slices.ContainsFunc(s.measures, func(o measureRow) bool { return o.tree == tree && o.Measurement == m }) {
		s.measures = append(s.measures, measureRow{id: s.id(), tree: tree, batch: batch, Measurement: m})
	}
}
