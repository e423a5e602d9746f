package storetest

import (
	"context"
	"strings"

	"limbround/scheduler"
)

// Tree reads one tree with its site and its open watch items.
func (m *Memory) Tree(_ context.Context, id int64) (scheduler.TreeSite, error) {
	s := m.read()
	if _, ok := s.trees[id]; !ok {
		return scheduler.TreeSite{}, scheduler.Errorf(scheduler.NotFound, "tree %d: there is none", id)
	}
	return s.treeSite(id, false), nil
}

// TreeByRef reads one tree by the city's own number.
func (m *Memory) TreeByRef(ctx context.Context, ref string) (scheduler.TreeSite, error) {
	t, ok := m.read().treeNamed(ref)
	if !ok {
		return scheduler.TreeSite{}, scheduler.Errorf(scheduler.NotFound, "tree %s: there is none", ref)
	}
	return m.Tree(ctx, t.ID)
}

// TreeList returns a page of the trees that the filter takes, by id.
func (m *Memory) TreeList(_ context.Context, q scheduler.TreeFilter, after int64, limit int) (list []scheduler.TreeSite, matched int, err error) {
	s := m.read()
	is := func(want, got string) bool { return want == "" || want == got }
	for _, t := range byID(s.trees, every) {
		site := s.siteOf(t.SiteID)
		text := q.Text == "" || strings.HasPrefix(strings.ToLower(t.Ref), strings.ToLower(q.Text)) ||
			strings.Contains(strings.ToLower(site.Address), strings.ToLower(q.Text))
		if !text || !is(q.District, site.District) || !is(q.Section, site.Section) || !is(q.Species, t.Species) ||
			!is(string(q.State), string(t.State)) || !is(string(q.Stage), string(t.Stage)) {
			continue
		}
		if matched++; t.ID > after && len(list) < limit {
			list = append(list, scheduler.TreeSite{Tree: t.Tree, Site: site.Site})
		}
	}
	return list, matched, nil
}

// treeSite is a tree with its site and its open watch items, or all of them.
func (s *state) treeSite(id int64, allWatch bool) scheduler.TreeSite {
	t := s.trees[id].Tree
	t.Watch = byID(s.watch, func(w *scheduler.WatchItem) bool { return w.TreeID == id && (allWatch || !w.Resolved) })
	return scheduler.TreeSite{Tree: t, Site: s.siteOf(t.SiteID).Site}
}
