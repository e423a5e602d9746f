package db

import (
	"context"
	"runtime"
	"sync"

	"github.com/jackc/pgx/v5"

	"limbround/scheduler"
)

// The pass is a pipe of three parts. One goroutine reads trees by id, each with its open
// visits, on a connection of its own, and cuts them into chunks. Workers decide
// on the chunks, whichever comes first. The caller takes the chunks in the order
// in which they were read, copies new visits into their table and what else differs into
// the stage. Few chunks are under way at a time, which bounds the memory.

const (
	dueColumns = `
    f.*, coalesce(v.id, 0), coalesce(v.kind::text, ''), coalesce(v.digest, 0), coalesce(v.origin, ''), p.id IS NOT NULL`
	dueOpenJoin = `
LEFT JOIN visit v ON v.tree_id = f.id AND v.progress = 'open'
LEFT JOIN stop p ON p.visit_id = v.id AND p.live
ORDER BY f.id`
	dueScanSQL = `
SELECT` + dueColumns + `
FROM tree_fact f` + dueOpenJoin
	dueScanSomeSQL = `
SELECT` + dueColumns + `
FROM unnest($1::bigint[]) u (id) JOIN tree_fact f ON f.id = u.id` + dueOpenJoin
)

// treeChunk is how many trees a worker takes at a time.
const treeChunk = 256

// duePass is one pass under way.
type duePass struct {
	d      *DB
	pass   int64
	asOf   scheduler.Date
	only   []int64
	decide func(*scheduler.DueInput) []scheduler.Visit
	tell   scheduler.DueProgress
}

// dueTree is one tree read: what decide sees, and what is open now.
type dueTree struct {
	in       scheduler.DueInput
	revision int
	open     []scheduler.OpenVisit
}

// dueChunk is a run of trees and, once done is closed, what they need.
type dueChunk struct {
	trees []dueTree
	add   []newVisit
	rows  [][]any
	moved []scheduler.VisitShift // of a look that writes nothing
	same  int
	err   error
	done  chan struct{}
}

// passed is what the pass counted before its differences are merged.
type passed struct {
	trees, same, added, skipped int
}

// stage decides on every tree, adds the visits that are new and stages what differs.
func (p *duePass) stage(ctx context.Context, tx pgx.Tx) (n passed, err error) {
	out := dueWriter{tx: tx, n: &n}
	err = p.run(ctx, p.decideOn, func(ctx context.Context, c *dueChunk) error {
		n.same += c.same
		n.trees += len(c.trees)
		return out.take(ctx, c)
	})
	if err != nil {
		return n, err
	}
	return n, out.flush(ctx)
}

// run reads the trees in chunks, has each worked on by one of several
// goroutines, and takes them in the order in which they were read.
func (p *duePass) run(ctx context.Context, on func(*dueChunk), take func(context.Context, *dueChunk) error) error {
	ctx, cancel := context.WithCancel(ctx)
	workers := runtime.GOMAXPROCS(0)
	work, inOrder := make(chan *dueChunk), make(chan *dueChunk, 2*workers)
	readErr := make(chan error, 1)
	var wg sync.WaitGroup
	wg.Go(func() {
		defer close(work)
		defer close(inOrder)
		readErr <- p.read(ctx, work, inOrder)
	})
	for range workers {
		wg.Go(func() {
			for c := range work {
				on(c)
				close(c.done)
			}
		})
	}
	defer wg.Wait()
	defer cancel()
	done := 0
	for c := range inOrder {
		select {
		case <-c.done:
		case <-ctx.Done():
			return failed("decide on trees", ctx.Err())
		}
		if c.err != nil {
			return c.err
		}
		if err := take(ctx, c); err != nil {
			return err
		}
		if done += len(c.trees); p.tell != nil {
			p.tell(done)
		}
	}
	return <-readErr
}

// read streams the trees to the workers and, in order, to the collector.
func (p *duePass) read(ctx context.Context, work, inOrder chan<- *dueChunk) error {
	watch, err := openWatch(ctx, p.d.pool, p.only)
	if err != nil {
		return err
	}
	follow, err := openFollowUps(ctx, p.d.pool, p.only)
	if err != nil {
		return err
	}
	sql, args := dueScanSQL, []any(nil)
	if p.only != nil {
		sql, args = dueScanSomeSQL, []any{p.only}
	}
	rows, err := p.d.pool.Query(ctx, sql, args...)
	if err != nil {
		return failed("read trees", err)
	}
	defer rows.Close()
	send := func(c *dueChunk) bool {
		for _, to := range []chan<- *dueChunk{inOrder, work} {
			select {
			case to <- c:
			case <-ctx.Done():
				return false
			}
		}
		return true
	}
	var fact treeFact
	var open scheduler.OpenVisit
	targets := append(fact.fields(), &open.ID, &open.Kind, &open.Digest, &open.Origin, &open.Live)
	c := newChunk()
	last := int64(0)
	for rows.Next() {
		if err := rows.Scan(targets...); err != nil {
			return failed("read trees", err)
		}
		if id := fact.tree.ID; id != last {
			last = id
			if len(c.trees) == treeChunk {
				if !send(c) {
					return failed("read trees", ctx.Err())
				}
				c = newChunk()
			}
			ts := fact.both()
			ts.Tree.Watch = watch[id]
			c.trees = append(c.trees, dueTree{
				in: scheduler.DueInput{Tree: ts.Tree, Site: ts.Site, FollowUps: follow[id]}, revision: fact.revision,
			})
		}
		if open.ID != 0 {
			t := &c.trees[len(c.trees)-1]
			t.open = append(t.open, open)
		}
	}
	if err := rows.Err(); err != nil {
		return failed("read trees", err)
	}
	send(c)
	return failed("read trees", ctx.Err())
}

func newChunk() *dueChunk {
	return &dueChunk{trees: make([]dueTree, 0, treeChunk), done: make(chan struct{})}
}

// decideOn fills in what the chunk's trees need.
func (p *duePass) decideOn(c *dueChunk) {
	var buf []byte
	for i := range c.trees {
		t := &c.trees[i]
		changes, same, err := scheduler.DiffVisits(t.open, p.decide(&t.in), &buf)
		if err != nil {
			c.err = err
			return
		}
		c.same += same
		for j := range changes {
			if changes[j].Op == scheduler.VisitNew {
				row, err := visitRow(p.asOf, &changes[j])
				if err != nil {
					c.err = err
					return
				}
				c.add = append(c.add, newVisit{tree: t.in.Tree.ID, revision: t.revision, row: row})
				continue
			}
			row, err := stageRow(p.pass, t.in.Tree.ID, t.revision, p.asOf, &changes[j])
			if err != nil {
				c.err = err
				return
			}
			c.rows = append(c.rows, row)
		}
	}
}
