package db

import (
	"context"
	"crypto/rand"
	"fmt"
	"os"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/riverqueue/river"
)

// post is a worker at work: a client of the queue under a name, and the lock
// that shows that the name is alive.
type post struct {
	name   string
	life   *life
	client *river.Client[pgx.Tx]
}

// shift keeps one post after the other until it is stopped.
type shift struct {
	d       *DB
	workers *river.Workers
	stop    chan context.Context // how long stopping may take
	ended   chan error
}

// StartWorkers runs queued jobs in this process until stop is called, which
// waits for running jobs as long as its context allows and then cancels them.
// Any number of processes may work at once. When the database drops this one's
// lock, its jobs end and it begins anew under another name.
func (d *DB) StartWorkers(ctx context.Context, workers *river.Workers) (stop func(context.Context) error, err error) {
	s := &shift{d: d, workers: workers, stop: make(chan context.Context), ended: make(chan error, 1)}
	p, err := s.takePost(ctx)
	if err != nil {
		return nil, err
	}
	// The workers outlive the call; stop ends them.
	go s.run(context.WithoutCancel(ctx), p)
	return func(ctx context.Context) error {
		s.stop <- ctx
		return failed("stop workers", <-s.ended)
	}, nil
}

func (s *shift) takePost(ctx context.Context) (*post, error) {
	name := workerName()
	l, err := s.d.live(ctx, name)
	if err != nil {
		return nil, err
	}
	c, err := s.d.newQueue(s.workers, name)
	if err == nil {
		err = c.Start(context.WithoutCancel(ctx))
	}
	if err != nil {
		l.leave(ctx)
		return nil, failed("start workers", err)
	}
	return &post{name, l, c}, nil
}

// workerName is a name that no other worker has had.
func workerName() string {
	host, err := os.Hostname()
	if err != nil {
		host = "unknown"
	}
	host = strings.ReplaceAll(host, ".", "_")
	return fmt.Sprintf("%.40s_%d_%s", host, os.Getpid(), rand.Text()[:10])
}

func (s *shift) run(ctx context.Context, p *post) {
	sweep := time.NewTicker(sweepEvery)
	defer sweep.Stop()
	sw := &sweeper{d: s.d, gone: map[string]time.Time{}}
	for {
		select {
		case end := <-s.stop:
			s.ended <- p.leave(end)
			return
		case <-p.life.lost:
			s.d.cfg.Log.Warn("worker lost its lock in the database, its jobs end", "worker", p.name)
			p.abandon(ctx)
			if p = s.again(ctx); p == nil {
				s.ended <- nil
				return
			}
		case at := <-sweep.C:
			one, cancel := context.WithTimeout(ctx, beatWait)
			if err := sw.sweep(one, p.name, at); err != nil {
				s.d.cfg.Log.Warn("sweep failed", "err", err)
			}
			cancel()
		}
	}
}

// again takes a new post as soon as the database allows; nil when stopped first.
func (s *shift) again(ctx context.Context) *post {
	for {
		p, err := s.takePost(ctx)
		if err == nil {
			return p
		}
		s.d.cfg.Log.Warn("worker waits for the database", "err", err)
		select {
		case <-s.stop:
			return nil
		case <-time.After(beatEvery):
		}
	}
}

// leave ends the work in good order: no new job, time for the running ones,
// and then their contexts are cancelled.
func (p *post) leave(ctx context.Context) error {
	defer p.life.leave(context.WithoutCancel(ctx))
	err := p.client.Stop(ctx)
	if err != nil && ctx.Err() != nil {
		err = p.client.StopAndCancel(context.WithoutCancel(ctx))
	}
	return err
}

// abandon cancels the running jobs at once: their names may be taken up.
func (p *post) abandon(ctx context.Context) {
	ctx, cancel := context.WithTimeout(ctx, beatWait)
	defer cancel()
	_ = p.client.StopAndCancel(ctx) // the database may be away; their contexts are cancelled either way
	p.life.leave(ctx)
}
