package storetest

import (
	"context"
	"reflect"
	"slices"
	"time"

	"limbround/scheduler"
)

// dueRun is one pass that was made.
type dueRun struct {
	scheduler.DueRun
	at    time.Time
	whole bool // afterwards the whole city was as of one day
}

// look is what a pass saw of a tree when it looked at it last.
type look struct {
	in   scheduler.DueInput
	live []int64 // its visits in live packets
}

// dueTree is a tree as the pass saw it, and what it found.
type dueTree struct {
	look
	revision int
	changes  []scheduler.VisitChange
}

// DuePass runs decide over the trees of the scope. They are read first and
// written after all decisions: one that was recorded in between is left as it is.
func (m *Memory) DuePass(ctx context.Context, asOf scheduler.Date, scope scheduler.DueScope,
	decide func(*scheduler.DueInput) []scheduler.Visit, policy int64, by scheduler.Stamp, tell scheduler.DueProgress,
) (scheduler.DueStats, error) {
	m.pass.Lock()
	defer m.pass.Unlock()
	stats := scheduler.DueStats{AsOf: asOf, PolicyID: policy}
	seen := m.read()
	if newest := seen.newestPass(); asOf < newest {
		return stats, scheduler.Errorf(scheduler.Stale, "the visits are already as of %s", newest)
	}
	var found []dueTree
	var buf []byte
	for _, t := range byID(seen.trees, every) {
		now := seen.lookAt(t.ID)
		if !seen.inScope(&scope, &now) {
			continue
		}
		changes, same, err := scheduler.DiffVisits(seen.openOf(t.ID), decide(&now.in), &buf)
		if err != nil {
			return stats, err
		}
		stats.Looked++
		stats.Written.Unchanged += same
		found = append(found, dueTree{now, t.revision, changes})
		if tell != nil {
			tell(stats.Looked)
		}
	}
	if stats.Trees = stats.Looked; scope.Trees == nil {
		stats.Trees = len(seen.trees)
	}
	err := m.write(ctx, func(s *state) error {
		s.finishPass(&stats, &scope, found, by)
		return signed(by)
	})
	return stats, err
}

// lookAt is a tree as decide gets it.
func (s *state) lookAt(tree int64) look {
	ts := s.treeSite(tree, false)
	l := look{in: scheduler.DueInput{Tree: ts.Tree, Site: ts.Site, FollowUps: s.followUps(tree)}}
	for _, o := range s.openOf(tree) {
		if o.Live {
			l.live = append(l.live, o.ID)
		}
	}
	return l
}

// inScope reports whether a pass has to look at a tree. Stale is one of which
// anything is not as it was seen last, or which people no longer are about to visit.
func (s *state) inScope(scope *scheduler.DueScope, now *look) bool {
	t := &now.in.Tree
	switch {
	case scope.Trees != nil:
		return slices.Contains(scope.Trees, t.ID)
	case scope.City(), slices.Contains(scope.Touch.Species, t.Species), slices.Contains(scope.Touch.Streets, now.in.Site.StreetClass):
		return true
	}
	last, there := s.looked[t.ID]
	gone := slices.ContainsFunc(last.live, func(id int64) bool { return !slices.Contains(now.live, id) })
	return !there || gone || !reflect.DeepEqual(last.in, now.in)
}

// finishPass writes what was found, counts the open visits and keeps the run; a
// pass over every tree keeps the night's table too.
func (s *state) finishPass(stats *scheduler.DueStats, scope *scheduler.DueScope, found []dueTree, by scheduler.Stamp) {
	for _, t := range found {
		tree := t.in.Tree.ID
		if scope.Trees == nil {
			s.looked[tree] = t.look
		}
		if now, there := s.trees[tree]; there && now.revision == t.revision {
			s.merge(tree, t.changes, stats.AsOf, &stats.Written)
		} else if len(t.changes) > 0 {
			stats.Written.Skipped++
		}
	}
	for _, v := range s.visits {
		if v.Progress == scheduler.Open && (scope.Trees == nil || slices.Contains(scope.Trees, v.TreeID)) {
			stats.Count(v.Kind, v.State, 1)
		}
	}
	run := scheduler.DueRun{AsOf: stats.AsOf, PolicyID: stats.PolicyID}
	s.runs = append(s.runs, dueRun{run, by.At, scope.Trees == nil})
	if scope.City() {
		s.nights[stats.AsOf] = night{s.overdue(), by.At}
	}
}

// LastDue is the newest pass over the whole city.
func (m *Memory) LastDue(context.Context) (scheduler.DueRun, error) { return m.read().lastDue(), nil }

func (s *state) lastDue() (last scheduler.DueRun) {
	for _, r := range s.runs {
		if r.whole {
			last = r.DueRun
		}
	}
	return last
}

// newestPass is the latest day as of which the whole city was judged. A look at
// a day to come counts as of the day on which it was made.
func (s *state) newestPass() scheduler.Date {
	var newest scheduler.Date
	for _, r := range s.runs {
		if r.whole {
			newest = max(newest, min(r.AsOf, s.dayOf(r.at)))
		}
	}
	return newest
}

// followUps are what earlier records of a tree left standing.
func (s *state) followUps(tree int64) []scheduler.FollowUp {
	return byID(s.follow, func(f *scheduler.FollowUp) bool { return f.TreeID == tree && f.EndedOn.IsZero() })
}
