package api

import (
	"net/http"

	"github.com/go-chi/chi/v5"

	"limbround/scheduler"
)

// deskRoutes registers the pages and the forms on them.
func (s *server) deskRoutes(r chi.Router) {
	r.Get("/", func(w http.ResponseWriter, r *http.Request) { http.Redirect(w, r, "/cycle", http.StatusSeeOther) })
	r.Get("/cycle", s.desk(s.cyclePage))
	r.Get("/day", s.desk(s.dayPage))
	r.Get("/packets/{id}", s.desk(s.packetPage))
	r.Get("/packets/{id}/sheet", s.desk(s.packetSheet))
	r.Get("/map", s.desk(s.mapPage))
	r.Get("/trees/{id}", s.desk(s.treePage))
	r.Get("/card", s.desk(s.cardPage))
	r.Get("/card/{visit}", s.desk(s.stopPage))
	r.Group(func(r chi.Router) {
		r.Use(s.writers)
		r.Post("/cycle/due", s.desk(s.cycleDue))
		r.Post("/cycle/plan", s.desk(s.cyclePlan))
		r.Post("/cycle/adopt", s.desk(s.cycleAdopt))
		r.Post("/day/build", s.desk(s.dayBuild))
		r.Post("/day/reminders/{id}", s.desk(s.reminderDone))
		r.Post("/packets/{id}/state", s.desk(s.packetState))
		r.Post("/packets/{id}/stops", s.desk(s.packetStops))
		r.Post("/card/{visit}", s.desk(s.stopRecord))
	})
}

// desk turns a handler that answers an error into one that shows it as a page.
func (s *server) desk(fn func(http.ResponseWriter, *http.Request) error) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if err := fn(w, r); err != nil {
			s.fail(w, r, err)
		}
	}
}

// writers keeps people who only read from the forms.
func (s *server) writers(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if err := mayWrite(r.Context()); err != nil {
			s.fail(w, r, err)
			return
		}
		next.ServeHTTP(w, r)
	})
}

// species answers the table by code, for names on the pages.
func (s *server) speciesByCode(r *http.Request) (map[string]scheduler.Species, error) {
	list, err := s.Store.Species(r.Context())
	by := make(map[string]scheduler.Species, len(list))
	for _, sp := range list {
		by[sp.Code] = sp
	}
	return by, err
}
