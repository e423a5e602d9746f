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

// now wraps the refusal of a change with the thing as it is, so that a desk can
// show what somebody else has made of it.
type now struct {
	error
	value any
	tag   string
}

func (n *now) Unwrap() error { return n.error }

// showNow adds to an edit clash, or to a change that the thing's state forbids,
// the thing as it is now. When that cannot be read either the first error stands alone.
func showNow[T any](err error, read func() (T, int, error)) error {
	switch scheduler.KindOf(err) {
	case scheduler.Stale, scheduler.Clash, scheduler.Infeasible:
		if value, revision, failed := read(); failed == nil {
			return &now{err, value, etag(revision)}
		}
	}
	return err
}

// nowProblem is a problem body with the member "current" and the entity tag to
// go on from.
type nowProblem struct {
	huma.ErrorModel
	Current any `json:"current" doc:"The thing as it is now"`
	tag     string
}

// GetHeaders is asked for by the framework.
func (p *nowProblem) GetHeaders() http.Header { return http.Header{"Etag": {p.tag}} }

// shown is the packet that the refusal of a change carries, nil for none.
func shown(err error) *scheduler.Packet {
	var n *now
	if errors.As(err, &n) {
		if p, ok := n.value.(scheduler.Packet); ok {
			return &p
		}
	}
	return nil
}

// answer is the body of a failed operation.
func (s *server) answer(err error) error {
	p := problem(s.Log, err)
	var n *now
	if errors.As(err, &n) {
		return &nowProblem{*p, n.value, n.tag}
	}
	return p
}

// problem turns any error into an RFC 9457 body. The text of an internal error
// goes to the log, never to the client.
func problem(log *slog.Logger, err error) *huma.ErrorModel {
	var own *huma.ErrorModel
	if errors.As(err, &own) {
		return own
	}
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
