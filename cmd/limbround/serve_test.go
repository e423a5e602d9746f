package main

import (
	"context"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"
)

// server is the program serving in this process, with a browser on it.
type server struct {
	t    testing.TB
	base string
	http *http.Client
	stop context.CancelFunc
	exit chan int
}

// serve starts the verb, with a clock that runs on from the program's, and
// waits for the address that it prints.
func (p *program) serve() *server {
	p.t.Helper()
	ctx, stop := context.WithCancel(p.t.Context())
	jar, err := cookiejar.New(nil)
	if err != nil {
		p.t.Fatal(err)
	}
	s := &server{t: p.t, http: &http.Client{Jar: jar, Timeout: 40 * time.Second}, stop: stop, exit: make(chan int, 1)}
	r, w := io.Pipe()
	var errOut strings.Builder
	at, began := p.clock, time.Now()
	now := func() time.Time { return at.Add(time.Since(began)) }
	go func() {
		s.exit <- run(ctx, []string{"--database-url", p.url, "serve", "--addr", "127.0.0.1:0"}, strings.NewReader(""), w, &errOut, now)
		_ = w.Close()
	}()
	line := make([]byte, 400)
	n, err := r.Read(line)
	s.base = strings.TrimSuffix(regexp.MustCompile(`http://[^ ]+`).FindString(string(line[:n])), "/")
	if err != nil || s.base == "" {
		p.t.Fatalf("serve printed %q, %v: %s", line[:n], err, errOut.String())
	}
	go func() { _, _ = io.Copy(io.Discard, r) }()
	return s
}

func (s *server) send(req *http.Request, status int) string {
	s.t.Helper()
	res, err := s.http.Do(req)
	if err != nil {
		s.t.Fatal(err)
	}
	defer res.Body.Close()
	b, err := io.ReadAll(res.Body)
	if err != nil {
		s.t.Fatal(err)
	}
	if res.StatusCode != status {
		s.t.Fatalf("%s %s: status %d, want %d:\n%.2000s", req.Method, req.URL, res.StatusCode, status, b)
	}
	return string(b)
}

func (s *server) request(method, path string, body io.Reader) *http.Request {
	s.t.Helper()
	req, err := http.NewRequestWithContext(s.t.Context(), method, s.base+path, body)
	if err != nil {
		s.t.Fatal(err)
	}
	req.Header.Set("Accept", "text/html")
	return req
}

// page opens a page as a browser does, redirects and cookies included.
func (s *server) page(path string, wants ...string) string {
	s.t.Helper()
	text := s.send(s.request("GET", path, nil), http.StatusOK)
	for _, want := range wants {
		if !strings.Contains(text, want) {
			s.t.Errorf("%s does not say %q:\n%.3000s", path, want, text)
		}
	}
	return text
}

// post sends a form from one of the server's own pages and follows it to the
// page that it leads to.
func (s *server) post(path string, form url.Values) string {
	s.t.Helper()
	req := s.request("POST", path, strings.NewReader(form.Encode()))
	req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	req.Header.Set("Origin", s.base)
	req.Header.Set("Sec-Fetch-Site", "same-origin")
	return s.send(req, http.StatusOK)
}

// form reads the fields of the first form on a page that posts to action: what
// a browser would send if a person pressed its button.
func (s *server) form(page, action string) url.Values {
	s.t.Helper()
	m := regexp.MustCompile(`(?s)<form[^>]*action="` + regexp.QuoteMeta(action) + `".*?</form>`).FindString(page)
	if m == "" {
		s.t.Fatalf("there is no form to %s on the page:\n%.3000s", action, page)
	}
	v := url.Values{}
	for _, in := range regexp.MustCompile(`<input[^>]*>`).FindAllString(m, -1) {
		name, value := attribute(in, "name"), attribute(in, "value")
		if name != "" && !strings.Contains(in, "checkbox") {
			v.Set(name, value)
		}
	}
	for _, sel := range regexp.MustCompile(`(?s)<select[^>]*>.*?</select>`).FindAllString(m, -1) {
		chosen := regexp.MustCompile(`<option value="([^"]*)"( selected)?>`).FindAllStringSubmatch(sel, -1)
		i := max(0, slices.IndexFunc(chosen, func(o []string) bool { return o[2] != "" }))
		v.Set(attribute(sel, "name"), chosen[i][1])
	}
	return v
}

func attribute(tag, name string) string {
	m := regexp.MustCompile(` ` + name + `="([^"]*)"`).FindStringSubmatch(tag)
	if m == nil {
		return ""
	}
	return m[1]
}

// TestServe goes through every desk as people do: it signs in, reads the
// pages, presses the buttons, records a tree, and stops the server.
func TestServe(t *testing.T) {
	p := newHandmade(t, 2027, time.February, 2)
	secret := strings.TrimSpace(p.ok("token", "add", "dispatcher Okafor", "--role", "dispatcher"))
	s := p.serve()
	s.page("/cycle", "Sign in")
	s.page("/healthz")
	if text := s.post("/signin", url.Values{"token": {secret}}); !strings.Contains(text, "Cycle") {
		t.Fatalf("after signing in: %.2000s", text)
	}
	s.page("/", "dispatcher Okafor", "No plan yet")

	s.post("/cycle/due", s.form(s.page("/cycle"), "/cycle/due"))
	s.post("/cycle/plan", s.form(s.page("/cycle"), "/cycle/plan"))
	s.post("/cycle/adopt", s.form(s.page("/cycle", "draft"), "/cycle/adopt"))
	s.page("/cycle", "adopted by dispatcher Okafor", "Weeks of 2027")
	s.page("/map", "Millside")
	s.page("/map?tree=PL-001", "118 Weir Street", "crabapple")

	s.post("/day/build", s.form(s.page("/day?from=2027-02-02&days=5"), "/day/build"))
	day := s.page("/day?from=2027-02-02&days=5", "draft")
	packet := regexp.MustCompile(`/packets/(\d+)"`).FindStringSubmatch(day)[1]
	page := s.page("/packets/"+packet, "PL-001", "take out")
	lock := s.form(page, "/packets/"+packet+"/stops")
	lock.Set("act", "lock")
	s.post("/packets/"+packet+"/stops", lock)
	if locked := p.number("SELECT count(*) FROM stop WHERE locked"); locked != 1 {
		t.Errorf("%d stops are locked", locked)
	}
	s.post("/packets/"+packet+"/state", s.form(s.page("/packets/"+packet, "▪"), "/packets/"+packet+"/state"))
	s.page("/packets/"+packet+"/sheet", "Before the first cut", "118 Weir Street")

	visit := p.query("SELECT v.id::text FROM visit v JOIN tree t ON t.id = v.tree_id WHERE t.ref = 'PL-001' AND v.progress = 'open'")[0]
	s.page("/card", "/card/"+visit)
	form := s.form(s.page("/card/"+visit, "Why today", "Nothing here says that a tree is sound"), "/card/"+visit)
	if _, err := uuid.Parse(form.Get("id")); err != nil || form.Get("packet") != packet {
		t.Errorf("the card's form: %v", form)
	}
	form.Set("live_crown", "15")
	form.Set("found", "alive")
	form.Set("new_what", "competing top")
	form.Set("new_size", "56")
	form.Set("new_stem", "70")
	form.Set("new_bark", "on")
	form.Set("new_intent", "hold_as_lower_tier")
	if text := s.post("/card/"+visit, form); !strings.Contains(text, "Recorded. Next:") {
		t.Errorf("after the record: %.2000s", text)
	}
	if text := s.post("/card/"+visit, form); !strings.Contains(text, "recorded before") { // the button pressed twice
		t.Errorf("after the same form again: %.2000s", text)
	}
	if n := p.number("SELECT count(*) FROM work_record WHERE visit_id = $1", visit); n != 1 {
		t.Errorf("%d records of one press of the button, sent twice", n)
	}
	s.page("/trees/"+strconv.Itoa(p.number("SELECT tree_id FROM visit WHERE id = $1", visit)), "A", "competing top")

	foreign := s.request("POST", "/cycle/due", nil)
	foreign.Header.Set("Sec-Fetch-Site", "cross-site")
	s.send(foreign, http.StatusForbidden)
	s.post("/signout", nil)
	s.page("/cycle", "Sign in")

	s.stop()
	select {
	case code := <-s.exit:
		if code != exitOK {
			t.Errorf("stopped with exit %d", code)
		}
	case <-time.After(grace + 5*time.Second):
		t.Fatal("the server does not stop")
	}
}
