package jobs

import (
	"context"

	"limbround/scheduler"
)

// OverdueStore makes the analyst's table.
type OverdueStore interface {
	OverdueByDistrict(ctx context.Context) (scheduler.OverdueTable, error)
	// OverdueOn answers the table as it was kept on a past night; NotFound when none was.
	OverdueOn(ctx context.Context, night scheduler.Date) (scheduler.OverdueTable, error)
	OverdueNights(ctx context.Context) ([]scheduler.OverdueNight, error)
}

// Overdue answers how late the city is, district by district, as of the last
// due pass or as it was on a past night.
type Overdue struct {
	Store OverdueStore
}

// Run reads the table, of a past night when one is given. A city over which no pass has run is a Clash: counts of
// nothing would read like good news.
func (o Overdue) Run(ctx context.Context, night scheduler.Date) (scheduler.OverdueTable, error) {
	if !night.IsZero() {
		return o.Store.OverdueOn(ctx, night)
	}
	t, err := o.Store.OverdueByDistrict(ctx)
	if err != nil {
		return t, err
	}
	if t.AsOf.IsZero() {
		e := scheduler.Errorf(scheduler.Clash, "the rules have not run over this city yet")
		e.Hint = "run: limbround due"
		return t, e
	}
	return t, nil
}
