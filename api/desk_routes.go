package api

import (
	"net/http"

	"github.com/go-chi/chi/v5"

	"limbround/scheduler"
)

// deskRoutes registers the pages and the forms on them.
func (s *server) deskRoutes(r chi.Router) {
	r.Get("/", func(w http.ResponseWriter, r *http.Request) { http.Redirect(w, r, "/cycle", http.StatusSeeOther) })
	r.Get("/cycle", s.cyclePage)
	r.Get("/day", s.dayPage)
	r.Get("/packets/{id}", s.packetPage)
	r.Get("/packets/{id}/sheet", s.packetSheet)
	r.Get("/map", s.mapPage)
	r.Get("/trees/{id}", s.treePage)
	r.Get("/card", s.cardPage)
	r.Get("/card/{visit}", s.stopPage)
	r.Group(func(r chi.Router) {
		r.Use(s.writers)
		r.Post("/cycle/due", s.cycleDue)
		r.Post("/cycle/plan", s.cyclePlan)
		r.Post("/cycle/adopt", s.cycleAdopt)
		r.Post("/day/build", s.dayBuild)
		r.Post("/packets/{id}/state", s.packetState)
		r.Post("/packets/{id}/stops", s.packetStops)
		r.Post("/card/{visit}", s.stopRecord)
	})
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
