package storetest

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"limbround/scheduler"
)

// mark says that a schedule was queued for a civil date.
type mark struct {
	name string
	day  scheduler.Date
}

// Enqueue queues a job. All jobs of the project forbid a second one with the
// same arguments while one waits, and nothing here ever runs one.
func (m *Memory) Enqueue(ctx context.Context, args scheduler.JobArgs) (id int64, err error) {
	err = m.write(ctx, func(s *state) error {
		id, err = s.enqueue(args, time.Time{})
		return err
	})
	return id, err
}

func (s *state) enqueue(args scheduler.JobArgs, at time.Time) (int64, error) {
	text, err := json.Marshal(args)
	if err != nil {
		return 0, fmt.Errorf("queue job %s: %w", args.Kind(), err)
	}
	same := args.Kind() + " " + string(text)
	for _, j := range s.jobs {
		if s.jobArgs[j.ID] == same && !j.Finished() {
			return j.ID, nil
		}
	}
	id := s.id()
	s.jobs = append(s.jobs, scheduler.JobStatus{ID: id, Kind: args.Kind(), Args: text, State: "available", CreatedAt: at})
	s.jobArgs[id] = same
	return id, nil
}

// JobStatus answers what is known of a job.
func (m *Memory) JobStatus(_ context.Context, id int64) (scheduler.JobStatus, error) {
	s := m.read()
	i := slices.IndexFunc(s.jobs, func(j scheduler.JobStatus) bool { return j.ID == id })
	if i < 0 {
		return scheduler.JobStatus{}, scheduler.Errorf(scheduler.NotFound, "there is no job %d", id)
	}
	return s.jobs[i], nil
}

// JobList lists at most limit jobs, newest first and older than before.
func (m *Memory) JobList(_ context.Context, state string, before int64, limit int) (list []scheduler.JobStatus, matched int, err error) {
	for _, j := range slices.Backward(m.read().jobs) {
		if state != "" && j.State != state {
			continue
		}
		if matched++; (before == 0 || j.ID < before) && len(list) < limit {
			list = append(list, j)
		}
	}
	return list, matched, nil
}

// CancelJob ends a job that waits, with the time of whoever says so.
func (m *Memory) CancelJob(ctx context.Context, id int64, by scheduler.Stamp) (j scheduler.JobStatus, err error) {
	err = m.write(ctx, func(s *state) error {
		i := slices.IndexFunc(s.jobs, func(j scheduler.JobStatus) bool { return j.ID == id })
		if i < 0 {
			return scheduler.Errorf(scheduler.NotFound, "there is no job %d", id)
		}
		if j = s.jobs[i]; j.Finished() {
			return scheduler.Errorf(scheduler.Clash, "job %d is %s already", id, j.State)
		}
		j.State, j.FinishedAt = "cancelled", &by.At
		s.jobs[i] = j
		return signed(by)
	})
	return j, err
}

// LastRun is the newest civil date for which the named schedule was queued.
func (m *Memory) LastRun(_ context.Context, name string) (day scheduler.Date, err error) {
	for k := range m.read().marks {
		if k.name == name {
			day = max(day, k.day)
		}
	}
	return day, nil
}

// EnqueueOnce queues the job of a schedule for one civil date, once.
func (m *Memory) EnqueueOnce(ctx context.Context, name string, day scheduler.Date, at time.Time, args scheduler.JobArgs) (did bool, err error) {
	err = m.write(ctx, func(s *state) error {
		k := mark{name, day}
		if _, there := s.marks[k]; there {
			return nil
		}
		s.marks[k] = at
		if _, err := s.enqueue(args, at); err != nil {
			return err
		}
		did = true
		return signed(scheduler.Stamp{Actor: "schedule " + name, At: at})
	})
	return did && err == nil, err
}
