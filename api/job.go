package api

import (
	"context"
	"net/http"
	"strconv"

	"github.com/danielgtaylor/huma/v2"

	"limbround/scheduler"
)

type jobInput struct {
	ID int64 `path:"id" minimum:"1"`
}

type jobOutput struct {
	Location string `header:"Location" doc:"Where to ask what became of the job"`
	Body     scheduler.JobStatus
}

type jobListInput struct {
	Paging
	State string `query:"state" enum:"available,pending,scheduled,retryable,running,completed,cancelled,discarded" doc:"Jobs in this state; in every state when absent"`
}

type jobListOutput struct {
	Body list[scheduler.JobStatus]
}

func (s *server) jobOperations(a huma.API) {
	handle(s, a, http.MethodGet, "/jobs", "list-jobs", "Jobs, newest first; those of the last days when finished", s.listJobs)
	handle(s, a, http.MethodGet, "/jobs/{id}", "get-job", "What became of a queued job, and how far a running one has come",
		func(ctx context.Context, in *jobInput) (*jobOutput, error) {
			st, err := s.Store.JobStatus(ctx, in.ID)
			return &jobOutput{Body: st}, err
		})
	handle(s, a, http.MethodDelete, "/jobs/{id}", "cancel-job",
		"End a job: one that waits does not run, one that runs is stopped wherever it runs and leaves nothing half done; ask again for its end",
		func(ctx context.Context, in *jobInput) (*jobOutput, error) {
			st, err := s.Store.CancelJob(ctx, in.ID, s.stamp(ctx))
			return &jobOutput{Location: jobAddress(in.ID), Body: st}, err
		}, status(http.StatusAccepted))
}

func (s *server) listJobs(ctx context.Context, in *jobListInput) (*jobListOutput, error) {
	jobs, matched, err := s.Store.JobList(ctx, in.State, in.After, in.Limit)
	if err != nil {
		return nil, err
	}
	return &jobListOutput{pageOf(ctx, jobs, matched, in.Paging, func(j *scheduler.JobStatus) int64 { return j.ID })}, nil
}

// queued puts a job in the queue and answers with where to follow it.
func (s *server) queued(ctx context.Context, args scheduler.JobArgs) (*jobOutput, error) {
	id, err := s.Store.Enqueue(ctx, args)
	if err != nil {
		return nil, err
	}
	st, err := s.Store.JobStatus(ctx, id)
	return &jobOutput{Location: jobAddress(id), Body: st}, err
}

func jobAddress(id int64) string { return "/api/v1/jobs/" + strconv.FormatInt(id, 10) }
