package db

import (
	"context"

	"limbround/scheduler"
)

// DueLook runs compare over the trees that a change of the rules can touch and
// hands what it answers to take, tree by tree in the order of their numbers. Nothing is
// written and nothing is locked. compare must be pure: it runs on several goroutines.
// It answers how many trees there are and at how many it looked.
func (d *DB) DueLook(ctx context.Context, touch scheduler.DueTouch, compare func(*scheduler.DueInput) []scheduler.VisitShift,
	take func(*scheduler.VisitShift) error, tell scheduler.DueProgress,
) (trees, looked int, err error) {
	if err := d.pool.QueryRow(ctx, dueTreesSQL).Scan(&trees); err != nil {
		return 0, 0, failed("count trees", err)
	}
	p := duePass{d: d, tell: tell}
	if !touch.All {
		if p.only, err = touchedTrees(ctx, d.pool, &touch); err != nil {
			return trees, 0, err
		}
	}
	err = p.run(ctx, func(c *dueChunk) {
		for i := range c.trees {
			c.moved = append(c.moved, compare(&c.trees[i].in)...)
		}
	}, func(_ context.Context, c *dueChunk) error {
		looked += len(c.trees)
		for i := range c.moved {
			if err := take(&c.moved[i]); err != nil {
				return err
			}
		}
		return nil
	})
	return trees, looked, err
}
