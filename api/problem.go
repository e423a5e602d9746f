package api

import (
	"encoding/json"
	"errors"
	"log/slog"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"limbround/scheduler"
)

// statusOf is the one map from a kind of failure to an HTTP status.
func statusOf(k scheduler.Kind) int {
	switch k {
	case scheduler.Invalid:
		return http.StatusUnprocessableEntity
	case scheduler.NotFound:
		return http.StatusNotFound
	case scheduler.Clash, scheduler.Infeasible:
		return http.StatusConflict
	case scheduler.Stale:
		return http.StatusPreconditionFailed
	case scheduler.Unavailable:
		return http.StatusServiceUnavailable
	case scheduler.Unauthorized:
		return http.StatusUnauthorized
	case scheduler.Forbidden:
		return http.StatusForbidden
	default:
		return http.StatusInternalServerError
	}
}

// problem turns any error into an RFC 9457 body. The text of an internal error
// goes to the log, never to the client.
func problem(log *slog.Logger, err error) *huma.ErrorModel {
	status := statusOf(scheduler.KindOf(err))
	p := &huma.ErrorModel{Title: http.StatusText(status), Status: status}
	var e *scheduler.Error
	if status == http.StatusInternalServerError || !errors.As(err, &e) {
		log.Error("request failed", "err", err)
		p.Detail = "The server could not answer. The cause is in its log."
		return p
	}
	p.Detail = e.Message
	if e.Err != nil && e.Kind != scheduler.Unavailable {
		p.Detail = e.Error()
	}
	if e.Hint != "" {
		p.Detail += ". " + e.Hint
	}
	for _, f := range e.Fields {
		d := &huma.ErrorDetail{Message: f.Rule, Location: f.Field}
		if f.Value != "" {
			d.Value = f.Value
		}
		p.Errors = append(p.Errors, d)
	}
	if status == http.StatusServiceUnavailable {
		log.Warn("part of the service is unavailable", "err", err)
	}
	return p
}

// writeProblem answers a request outside the typed operations with a problem body.
func writeProblem(w http.ResponseWriter, p *huma.ErrorModel) {
	if p.Status == http.StatusUnauthorized {
		w.Header().Set("WWW-Authenticate", `Bearer realm="limbround"`)
	}
	w.Header().Set("Content-Type", "application/problem+json")
	w.WriteHeader(p.Status)
	_ = json.NewEncoder(w).Encode(p) // the client may be gone; nothing is left to tell it
}

func plainProblem(status int, detail string) *huma.ErrorModel {
	return &huma.ErrorModel{Title: http.StatusText(status), Status: status, Detail: detail}
}
