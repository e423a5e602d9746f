package api

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

type batchListOutput struct {
	Body list[scheduler.Batch]
}

type batchInput struct {
	ID int64 `path:"id" minimum:"1"`
}

type applyInput struct {
	Batch int64 `path:"batch" minimum:"1"`
}

type undoOutput struct {
	Body scheduler.UndoResult
}

type crewListOutput struct {
	Body list[scheduler.Crew]
}

func (s *server) importOperations(a huma.API) {
	handle(s, a, http.MethodGet, "/batches", "list-batches", "Imports, newest first, with their counts",
		func(ctx context.Context, _ *struct{}) (*batchListOutput, error) {
			l, err := s.Store.ListBatches(ctx)
			return &batchListOutput{whole(l)}, err
		})
	handle(s, a, http.MethodPost, "/batches/{id}/undo", "undo-batch", "Bring the database back to what it was before an import",
		func(ctx context.Context, in *batchInput) (*undoOutput, error) {
			res, err := s.Store.UndoBatch(ctx, in.ID, s.stamp(ctx))
			return &undoOutput{res}, err
		})
	handle(s, a, http.MethodPost, "/imports/{batch}/apply", "apply-import", "Apply a batch that was staged, checked and held, as a job",
		func(ctx context.Context, in *applyInput) (*jobOutput, error) {
			b, err := s.Store.Batch(ctx, in.Batch)
			if err != nil {
				return nil, err
			}
			if err := b.MayApply(); err != nil {
				return nil, err
			}
			return s.queued(ctx, jobs.ImportApplyArgs{Batch: b.ID, Actor: who(ctx).actor})
		}, status(http.StatusAccepted))
	handle(s, a, http.MethodGet, "/crews", "list-crews", "Crews with their skills, tickets and days off",
		func(ctx context.Context, _ *struct{}) (*crewListOutput, error) {
			l, err := s.Store.Crews(ctx)
			return &crewListOutput{whole(l)}, err
		})
}
