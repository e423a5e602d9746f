// Package api serves Limbround over HTTP: the JSON API under /api/v1, health
// and metrics, and the four desks. It knows the domain and the verbs; the store
// is behind small interfaces.
package api

import (
	"context"
	"io/fs"
	"log/slog"
	"net/http"
	"strings"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humachi"
	"github.com/go-chi/chi/v5"
	"github.com/go-chi/chi/v5/middleware"

	"limbround/api/web"
	"limbround/scheduler"
)

// Config is what a server is made of.
type Config struct {
	Store   Store
	Tokens  Tokens
	Health  Health
	Verbs   Verbs
	Log     *slog.Logger
	Now     func() time.Time
	Version string
}

type server struct {
	Config
	metrics *metrics
	desks   *desks
}

// maxBody bounds what a request may send, but for uploads, which are streamed.
const maxBody = 8 << 20

// New returns the handler of the whole server.
func New(cfg Config) (http.Handler, error) {
	d, err := newDesks()
	if err != nil {
		return nil, err
	}
	s := &server{Config: cfg, metrics: newMetrics(), desks: d}
	r := chi.NewRouter()
	r.Use(middleware.RequestID, s.logged, s.recovered, safeHeaders, sameOrigin, middleware.GetHead, middleware.RequestSize(maxBody), middleware.Compress(5))
	r.NotFound(func(w http.ResponseWriter, r *http.Request) {
		writeProblem(w, plainProblem(http.StatusNotFound, "Nothing is at "+r.URL.Path+"."))
	})
	r.MethodNotAllowed(func(w http.ResponseWriter, r *http.Request) {
		writeProblem(w, plainProblem(http.StatusMethodNotAllowed, r.Method+" is not possible on "+r.URL.Path+"."))
	})
	r.Get("/healthz", healthz)
	r.Get("/readyz", s.readyz)
	r.Handle("/metrics", s.metrics.handler())
	static, err := fs.Sub(web.Static, "static")
	if err != nil {
		return nil, err
	}
	r.Handle("/static/*", http.StripPrefix("/static/", http.FileServerFS(static)))
	s.signInRoutes(r)
	r.Group(func(r chi.Router) {
		r.Use(s.signedIn, withURL)
		s.deskRoutes(r)
		s.apiRoutes(r)
	})
	return r, nil
}

// apiRoutes registers the whole business API; each group's operations stand in
// the file of its noun.
func (s *server) apiRoutes(r chi.Router) {
	cfg := huma.DefaultConfig("Limbround", s.Version)
	cfg.Info.Description = "Street tree maintenance: inventory, due visits, annual plan, crew-day packets, work records. Lengths are whole millimetres, times are minutes, dates are civil dates of the city."
	cfg.OpenAPIPath, cfg.DocsPath, cfg.SchemasPath = "/api/v1/openapi", "", ""
	cfg.CreateHooks = nil // no $schema in bodies
	cfg.RejectUnknownQueryParameters = true
	cfg.FieldsOptionalByDefault = true // the verbs know which rules a body breaks, and name them all
	cfg.Components.SecuritySchemes = map[string]*huma.SecurityScheme{"token": {Type: "http", Scheme: "bearer"}}
	cfg.Security = []map[string][]string{{"token": {}}}
	a := humachi.New(r, cfg)

	s.cityOperations(a)
	s.treeOperations(a)
	s.visitOperations(a)
	s.ruleOperations(a)
	s.previewOperations(a)
	s.deviationOperations(a)
	s.planOperations(a)
	s.packetOperations(a)
	s.recordOperations(a)
	s.importOperations(a)
	s.jobOperations(a)
	s.reminderOperations(a)
	s.adviseOperations(a)
	s.riskOperations(a)
}

// handle registers one operation under /api/v1. The handler's errors become
// problem bodies in one place, and a write needs a role that may write.
func handle[I, O any](s *server, a huma.API, method, path, id, summary string, fn func(context.Context, *I) (*O, error), options ...func(*huma.Operation)) {
	op := huma.Operation{Method: method, Path: "/api/v1" + path, OperationID: id, Summary: summary}
	op.Tags = []string{strings.Split(strings.TrimPrefix(path, "/"), "/")[0]}
	for _, o := range options {
		o(&op)
	}
	huma.Register(a, op, func(ctx context.Context, in *I) (*O, error) {
		if method != http.MethodGet && op.Metadata[reading] == nil {
			if err := mayWrite(ctx); err != nil {
				return nil, s.answer(err)
			}
		}
		out, err := fn(ctx, in)
		if err != nil {
			return nil, s.answer(err)
		}
		return out, nil
	})
}

const reading = "reading"

// readsOnly marks a question that is too long for an address: anybody who reads may send it.
func readsOnly(op *huma.Operation) { op.Metadata = map[string]any{reading: true} }

// status sets the code of a success.
func status(code int) func(*huma.Operation) {
	return func(op *huma.Operation) { op.DefaultStatus = code }
}

// withURL keeps the request's address for next links.
func withURL(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		next.ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), urlKey{}, r.URL)))
	})
}

// today is the civil date in the city's time zone; an unknown zone, which the
// settings refuse, counts as UTC.
func (s *server) today(c scheduler.City) scheduler.Date {
	zone, err := time.LoadLocation(c.TimeZone)
	if err != nil {
		zone = time.UTC
	}
	return scheduler.DateOf(s.Now().In(zone))
}
