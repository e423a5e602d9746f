package api

import (
	"net/http"
	"net/url"
	"strings"

	"github.com/go-chi/chi/v5"

	"limbround/scheduler"
)

// signInRoutes let a browser trade a token for a cookie. They are the only
// pages that work without one.
func (s *server) signInRoutes(r chi.Router) {
	r.Get("/signin", func(w http.ResponseWriter, r *http.Request) {
		s.render(w, r, "signin", http.StatusOK, view{Title: "Sign in"})
	})
	r.Post("/signin", s.signIn)
	r.Post("/signout", func(w http.ResponseWriter, r *http.Request) {
		http.SetCookie(w, &http.Cookie{Name: cookieName, Path: "/", MaxAge: -1, HttpOnly: true, SameSite: http.SameSiteStrictMode})
		http.Redirect(w, r, "/signin", http.StatusSeeOther)
	})
}

func (s *server) signIn(w http.ResponseWriter, r *http.Request) {
	secret := strings.TrimSpace(r.PostFormValue("token"))
	_, _, err := s.Tokens.TokenActor(r.Context(), secret)
	switch scheduler.KindOf(err) {
	case "":
		remember(w, r, secret)
		http.Redirect(w, r, "/cycle", http.StatusSeeOther)
	case scheduler.Unauthorized:
		s.render(w, r, "signin", http.StatusUnauthorized, view{Title: "Sign in", Body: "This token is not known, or it has ended."})
	default:
		s.fail(w, r, err)
	}
}

// done takes the word on what the last act did, which back left in a cookie.
func done(w http.ResponseWriter, r *http.Request) string {
	c, err := r.Cookie("limbround_done")
	if err != nil {
		return ""
	}
	http.SetCookie(w, &http.Cookie{Name: "limbround_done", Path: "/", MaxAge: -1, HttpOnly: true, SameSite: http.SameSiteStrictMode})
	word, err := url.QueryUnescape(c.Value)
	if err != nil {
		return ""
	}
	return word
}
