package api

import (
	"context"
	"net/http"
	"strings"
	"time"

	"limbround/scheduler"
)

// Tokens answers who holds a secret. It fails with Unauthorized for an unknown
// or expired one.
type Tokens interface {
	TokenActor(ctx context.Context, secret string) (actor string, role scheduler.Role, err error)
}

// person is who sends a request.
type person struct {
	actor string
	role  scheduler.Role
}

type personKey struct{}

// cookieName carries the token of a browser that signed in on a desk.
const cookieName = "limbround_token"

func who(ctx context.Context) person {
	p, _ := ctx.Value(personKey{}).(person)
	return p
}

// stamp is the mark of a write made by this request.
func (s *server) stamp(ctx context.Context) scheduler.Stamp {
	return scheduler.Stamp{Actor: who(ctx).actor, At: s.Now()}
}

// mayWrite fails with Forbidden for an analyst, who reads only.
func mayWrite(ctx context.Context) error {
	if p := who(ctx); p.role == scheduler.RoleAnalyst {
		return scheduler.Errorf(scheduler.Forbidden, "%s signed in as an analyst, who reads but does not change", p.actor)
	}
	return nil
}

// secretOf takes the bearer token, or the cookie of a signed-in desk. A cookie
// is SameSite=Strict, and a write from another site is refused before this.
func secretOf(r *http.Request) string {
	if h := r.Header.Get("Authorization"); h != "" {
		scheme, secret, _ := strings.Cut(h, " ")
		if strings.EqualFold(scheme, "bearer") {
			return strings.TrimSpace(secret)
		}
		return ""
	}
	if c, err := r.Cookie(cookieName); err == nil {
		return c.Value
	}
	return ""
}

// signedIn lets only known people through and puts them in the context.
func (s *server) signedIn(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		actor, role, err := s.Tokens.TokenActor(r.Context(), secretOf(r))
		if err != nil {
			s.refuse(w, r, err)
			return
		}
		next.ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), personKey{}, person{actor, role})))
	})
}

// refuse sends a browser to the sign-in page and everybody else a problem.
func (s *server) refuse(w http.ResponseWriter, r *http.Request, err error) {
	wantsPage := r.Method == http.MethodGet && !strings.HasPrefix(r.URL.Path, "/api/") && strings.Contains(r.Header.Get("Accept"), "text/html")
	if wantsPage && scheduler.KindOf(err) == scheduler.Unauthorized {
		http.Redirect(w, r, "/signin", http.StatusSeeOther)
		return
	}
	writeProblem(w, problem(s.Log, err))
}

// remember gives a browser the cookie that keeps it signed in.
func remember(w http.ResponseWriter, r *http.Request, secret string) {
	http.SetCookie(w, &http.Cookie{
		Name: cookieName, Value: secret, Path: "/", HttpOnly: true, Secure: r.TLS != nil,
		SameSite: http.SameSiteStrictMode, MaxAge: int((30 * 24 * time.Hour).Seconds()),
	})
}
