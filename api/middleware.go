package api

import (
	"net/http"
	"runtime/debug"
	"strconv"
	"time"

	"github.com/go-chi/chi/v5"
	"github.com/go-chi/chi/v5/middleware"
)

// logged writes one structured line for each request and counts it.
func (s *server) logged(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		start := time.Now() //nolint:forbidigo // measures the request; no rule depends on it
		ww := middleware.NewWrapResponseWriter(w, r.ProtoMajor)
		defer func() {
			route := chi.RouteContext(r.Context()).RoutePattern()
			took := time.Since(start)
			s.metrics.requests.WithLabelValues(r.Method, route, strconv.Itoa(ww.Status())).Inc()
			s.metrics.seconds.WithLabelValues(r.Method, route).Observe(took.Seconds())
			s.Log.Info("request", "method", r.Method, "path", r.URL.Path, "status", ww.Status(),
				"bytes", ww.BytesWritten(), "ms", took.Milliseconds(), "id", middleware.GetReqID(r.Context()))
		}()
		next.ServeHTTP(ww, r)
	})
}

// recovered keeps one broken request from taking the server down.
func (s *server) recovered(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			switch v := recover(); v {
			case nil:
			case http.ErrAbortHandler:
				panic(v)
			default:
				s.Log.Error("request panicked", "value", v, "stack", string(debug.Stack()))
				writeProblem(w, plainProblem(http.StatusInternalServerError, "The server could not answer. The cause is in its log."))
			}
		}()
		next.ServeHTTP(w, r)
	})
}

// safeHeaders keep a page from loading anything from elsewhere or being framed.
func safeHeaders(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", "default-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data:; frame-ancestors 'none'; form-action 'self'; base-uri 'none'")
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		next.ServeHTTP(w, r)
	})
}

// sameOrigin refuses a write that a browser sends from another site.
func sameOrigin(next http.Handler) http.Handler {
	guard := http.NewCrossOriginProtection()
	guard.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		writeProblem(w, plainProblem(http.StatusForbidden, "A write from another site is refused."))
	}))
	return guard.Handler(next)
}
