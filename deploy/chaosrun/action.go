package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"time"
)

// action is one thing that somebody does: a command, a job asked for over the
// API, or a row of requests. What it does must follow from the inputs alone, never from
// the numbers that a database gave to its rows.
type action struct {
	step string
	name string
	odds float64 // that it is killed when it is tried

	args func(h *house) ([]string, error)                          // a command
	path string                                                    // a job: POST there
	body any                                                       // with this
	send func(ctx context.Context, h *house) (func() error, error) // requests

	// settled says whether an interrupted try had done everything, so that its
	// repetition is rightly refused; nil when a repetition is never refused.
	settled func(h *house) (bool, error)
}

func (a *action) mode() string {
	switch {
	case a.args != nil:
		return "command"
	case a.path != "":
		return "job"
	}
	return "requests"
}

// prepare finds out what the action needs to know of the house and returns the
// action itself. Its error is an interruption or a refusal.
func (a *action) prepare(ctx context.Context, h *house) (do func() error, err error) {
	switch a.mode() {
	case "command":
		args, err := a.args(h)
		return func() error {
			_, err := h.run(args...)
			return err
		}, err
	case "job":
		return func() error { return a.job(ctx, h) }, nil
	}
	return a.send(ctx, h)
}

// jobWait bounds the wait for a job; a job of a dead worker is taken up long before.
const jobWait = 90 * time.Second

type jobStatus struct {
	ID    int64
	State string
	Error string
}

// errLost is a server that does not answer.
var errLost = errors.New("the server does not answer")

func (a *action) job(ctx context.Context, h *house) error {
	status, answer, err := h.call(ctx, http.MethodPost, a.path, a.body)
	if err != nil {
		return fmt.Errorf("%w: %w", errLost, err)
	}
	if status != http.StatusAccepted {
		return fmt.Errorf("queue %s: status %d: %s", a.name, status, answer)
	}
	var j jobStatus
	if err := json.Unmarshal(answer, &j); err != nil {
		return err
	}
	for began := time.Now(); ; time.Sleep(20 * time.Millisecond) {
		status, answer, err := h.call(ctx, http.MethodGet, fmt.Sprintf("/api/v1/jobs/%d", j.ID), nil)
		if err != nil {
			return fmt.Errorf("%w: %w", errLost, err)
		}
		if status != http.StatusOK {
			return fmt.Errorf("read job %d: status %d: %s", j.ID, status, answer)
		}
		if err := json.Unmarshal(answer, &j); err != nil {
			return err
		}
		switch j.State {
		case "completed":
			return nil
		case "cancelled", "discarded":
			return fmt.Errorf("job %d is %s: %s", j.ID, j.State, j.Error)
		}
		if !h.worker.running() {
			return fmt.Errorf("%w: the worker is gone", errLost)
		}
		if time.Since(began) > jobWait {
			return fmt.Errorf("job %d is %s after %s: %s", j.ID, j.State, jobWait, j.Error)
		}
	}
}
