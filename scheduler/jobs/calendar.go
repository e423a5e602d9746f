package jobs

import (
	"context"
	"time"

	"limbround/scheduler"
)

// CalendarStore reads trees.
type CalendarStore interface {
	RuleStore
	TreeByRef(ctx context.Context, ref string) (scheduler.TreeSite, error)
}

// Calendar shows one tree's trips for years to come, as if each were made on time.
type Calendar struct {
	Store CalendarStore
	Now   func() time.Time
}

// CalendarRequest names the tree by the city's number.
type CalendarRequest struct {
	Tree  string
	Years int            // 1 to 60
	AsOf  scheduler.Date // zero for today in the city
}

// CalendarResult is the list of trips in order.
type CalendarResult struct {
	Tree    scheduler.Tree    `json:"tree"`
	Site    scheduler.Site    `json:"site"`
	Species scheduler.Species `json:"species"`
	AsOf    scheduler.Date    `json:"as_of"`
	Policy  string            `json:"policy"`
	Visits  []scheduler.Visit `json:"visits"`
}

// Run makes the calendar; an unknown tree is NotFound. Nothing is written.
func (c Calendar) Run(ctx context.Context, q CalendarRequest) (CalendarResult, error) {
	var out CalendarResult
	if q.Years < 1 || q.Years > 60 {
		return out, scheduler.Errorf(scheduler.Invalid, "years %d: want 1 to 60", q.Years)
	}
	r, err := loadRules(ctx, c.Store, c.Now(), q.AsOf)
	if err != nil {
		return out, err
	}
	ts, err := c.Store.TreeByRef(ctx, q.Tree)
	if err != nil {
		return out, err
	}
	out.Tree, out.Site, out.Species, out.AsOf, out.Policy = ts.Tree, ts.Site, r.species[ts.Tree.Species], r.today, r.policy.Name
	out.Visits = r.engine.Calendar(ts.Tree, ts.Site, r.today, q.Years)
	return out, nil
}
