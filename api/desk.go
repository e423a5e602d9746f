package api

import (
	"bytes"
	"fmt"
	"html/template"
	"io/fs"
	"net/http"
	"strings"

	"github.com/danielgtaylor/huma/v2"

	"limbround/api/web"
	"limbround/geo"
	"limbround/scheduler"
)

// The desks are plain server-made pages: Cycle for the manager, Day for the
// dispatcher, Map for the analyst, Card for the crew leader. Each page has a
// view of its own; the frame around them is the same.

// view is what every page gets.
type view struct {
	Desk  string // cycle, day, map, card: marks the current one
	Title string
	City  scheduler.City
	Who   string
	Today scheduler.Date
	Done  string // what the last act did, shown once
	Body  any
}

// desks renders the pages.
type desks struct {
	pages map[string]*template.Template
}

func newDesks() (*desks, error) {
	names, err := fs.Glob(web.Pages, "page/*.html")
	if err != nil {
		return nil, fmt.Errorf("list pages: %w", err)
	}
	d := &desks{pages: map[string]*template.Template{}}
	for _, name := range names {
		short := strings.TrimSuffix(strings.TrimPrefix(name, "page/"), ".html")
		if short == "layout" {
			continue
		}
		t, err := template.New("layout.html").Funcs(deskFuncs).ParseFS(web.Pages, "page/layout.html", name)
		if err != nil {
			return nil, fmt.Errorf("parse page %s: %w", name, err)
		}
		d.pages[short] = t
	}
	return d, nil
}

// deskFuncs is read only after program start.
var deskFuncs = template.FuncMap{
	"words": func(v any) string { return strings.ReplaceAll(fmt.Sprint(v), "_", " ") },
	"hm":    func(min int) string { return fmt.Sprintf("%d:%02d", min/60, min%60) },
	"hours": func(min int64) string { return fmt.Sprintf("%.0f", float64(min)/60) },
	"pct": func(part, whole int) string {
		if whole == 0 {
			return "–"
		}
		return fmt.Sprintf("%.1f %%", 100*float64(part)/float64(whole))
	},
	"share": func(part, whole int) template.CSS {
		if whole <= 0 {
			return "0"
		}
		return template.CSS(fmt.Sprintf("%.2f", 100*float64(part)/float64(whole))) //nolint:gosec // a number
	},
	"mm": func(l geo.Length) string { return l.String() },
}

// page writes the named page in the common frame.
func (s *server) page(w http.ResponseWriter, r *http.Request, name string, v view) error {
	city, err := s.Store.City(r.Context())
	if err != nil {
		return err
	}
	v.City, v.Who, v.Done = city, who(r.Context()).actor, done(w, r)
	if v.Today.IsZero() {
		v.Today = s.today(city)
	}
	s.render(w, r, name, http.StatusOK, v)
	return nil
}

func (s *server) render(w http.ResponseWriter, r *http.Request, name string, status int, v view) {
	var b bytes.Buffer
	if err := s.desks.pages[name].Execute(&b, v); err != nil {
		s.Log.Error("page failed", "page", name, "path", r.URL.Path, "err", err)
		http.Error(w, "The server could not make this page. The cause is in its log.", http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	_, _ = w.Write(b.Bytes()) // the browser may be gone
}

type problemView struct {
	*huma.ErrorModel
	Packet *scheduler.Packet // as it is now, after an edit clash
}

// fail shows a problem as a page, in words that say what to do next.
func (s *server) fail(w http.ResponseWriter, r *http.Request, err error) {
	p := problem(s.Log, err)
	s.render(w, r, "problem", p.Status, view{Title: p.Title, Who: who(r.Context()).actor, Body: problemView{p, shown(err)}})
}

// back answers a form: to the page it came from, with a word on what was done.
func back(w http.ResponseWriter, r *http.Request, path, done string) {
	http.SetCookie(w, &http.Cookie{Name: "limbround_done", Value: template.URLQueryEscaper(done), Path: "/", MaxAge: 30, HttpOnly: true, SameSite: http.SameSiteStrictMode})
	http.Redirect(w, r, path, http.StatusSeeOther)
}
