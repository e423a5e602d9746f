package api

import (
	"context"
	"fmt"
	"net/http"
	"strconv"
	"time"

	"github.com/go-chi/chi/v5"

	"limbround/scheduler"
)

// form reads the fields of a posted form and collects what is wrong with them,
// so that a person sees every fault at once.
type form struct {
	r      *http.Request
	faults []scheduler.Fault
}

// number reads a whole number; an empty field is zero.
func (f *form) number(name string) int {
	text := f.r.PostFormValue(name)
	if text == "" {
		return 0
	}
	n, err := strconv.Atoi(text)
	if err != nil {
		f.faults = append(f.faults, scheduler.Fault{Field: name, Value: text, Rule: "must be a whole number"})
	}
	return n
}

// date reads a day; a missing one is a fault.
func (f *form) date(name string) scheduler.Date {
	d, err := scheduler.ParseDate(f.r.PostFormValue(name))
	if err != nil {
		f.faults = append(f.faults, scheduler.Fault{Field: name, Value: f.r.PostFormValue(name), Rule: "must be a day written YYYY-MM-DD"})
	}
	return d
}

func (f *form) err() error {
	if len(f.faults) == 0 {
		return nil
	}
	return &scheduler.Error{Kind: scheduler.Invalid, Message: "the form cannot be used as it is", Fields: f.faults}
}

// pathID reads an id from the address; one that is no number is an address at
// which nothing is.
func pathID(r *http.Request, name string) (int64, error) {
	id, err := strconv.ParseInt(chi.URLParam(r, name), 10, 64)
	if err != nil || id < 1 {
		return 0, scheduler.Errorf(scheduler.NotFound, "%s %q: there is none", name, chi.URLParam(r, name))
	}
	return id, nil
}

// patience is how long a page waits for the job that its form started.
const patience = 20 * time.Second

// follow starts a job and waits for a while, since a person would rather see
// the result than a promise. It answers a word on what became of it, and the
// job's id.
func (s *server) follow(ctx context.Context, what string, args scheduler.JobArgs) (word string, id int64, err error) {
	id, err = s.Store.Enqueue(ctx, args)
	if err != nil {
		return "", 0, err
	}
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	tick := time.NewTicker(200 * time.Millisecond)
	defer tick.Stop()
	for {
		st, err := s.Store.JobStatus(ctx, id)
		switch {
		case err == nil && st.Finished() && st.State == "completed":
			return what + ": done.", id, nil
		case err == nil && (st.Finished() || st.Error != ""):
			return "", id, scheduler.Errorf(scheduler.Infeasible, "%s: %s", what, st.Error)
		case err != nil && ctx.Err() == nil:
			return "", id, err
		}
		select {
		case <-ctx.Done():
			return fmt.Sprintf("%s: under way as job %d; this page will show it when it is done.", what, id), id, nil
		case <-tick.C:
		}
	}
}
