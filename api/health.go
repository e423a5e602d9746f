package api

import (
	"context"
	"net/http"
	"time"
)

// Health answers whether the database takes queries.
type Health interface {
	Ping(ctx context.Context) error
}

// healthz says that the process runs; it asks nobody.
func healthz(w http.ResponseWriter, _ *http.Request) {
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	_, _ = w.Write([]byte("ok\n"))
}

// readyz says whether requests can be served now.
func (s *server) readyz(w http.ResponseWriter, r *http.Request) {
	ctx, cancel := context.WithTimeout(r.Context(), 3*time.Second)
	defer cancel()
	if err := s.Health.Ping(ctx); err != nil {
		writeProblem(w, problem(s.Log, err))
		return
	}
	healthz(w, r)
}
