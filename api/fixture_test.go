package api_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"limbround/api"
	"limbround/db/dbtest"
	"limbround/scheduler"
	"limbround/scheduler/crewday/sheet"
	"limbround/scheduler/jobs"
)

// noon is the moment at which all tests of this package run: a winter day.
var noon = time.Date(2026, 12, 1, 17, 0, 0, 0, time.UTC)

func now() time.Time { return noon }

func by() scheduler.Stamp { return scheduler.Stamp{Actor: "test", At: noon} }

// site is a served database with a street, a crew and a few trees.
type site struct {
	*httptest.Server
	store   store
	manager string // tokens
	analyst string
}

// store is what the fixture and the tests ask of the database, beyond the routes.
type store interface {
	api.Store
	api.Tokens
	api.Health
	jobs.ImportStore
	jobs.DueStore
	jobs.OverdueStore
	jobs.PlanStore
	jobs.PackStore
	jobs.RecordStore
	jobs.SheetStore
	jobs.EditStore
	jobs.PreviewStore
	jobs.DeviationStore
	Audit(ctx context.Context, noun, key string, before int64, limit int) ([]scheduler.AuditEntry, error)
	AddToken(ctx context.Context, actor string, role scheduler.Role, expires time.Time, by scheduler.Stamp) (string, error)
}

const districtsFile = `{"type":"FeatureCollection","features":[{"type":"Feature","properties":{"ref":"D1","name":"Millside"},
"geometry":{"type":"Polygon","coordinates":[[[-85.21,40.09],[-85.19,40.09],[-85.19,40.11],[-85.21,40.11],[-85.21,40.09]]]}}]}`

const streetsFile = `{"type":"FeatureCollection","features":[
{"type":"Feature","properties":{"ref":"S1","name":"Weir Street","class":"arterial","bus_route":true,"width_m":14,"speed_kmh":50},"geometry":{"type":"LineString","coordinates":[[-85.202,40.1],[-85.2,40.1]]}},
{"type":"Feature","properties":{"ref":"S2","name":"Weir Street","class":"residential","width_m":9,"speed_kmh":40},"geometry":{"type":"LineString","coordinates":[[-85.2,40.1],[-85.198,40.1]]}}]}`

const depotsFile = `{"type":"FeatureCollection","features":[{"type":"Feature","properties":{"ref":"N","name":"North yard"},"geometry":{"type":"Point","coordinates":[-85.2015,40.1002]}}]}`

const dumpsFile = `{"type":"FeatureCollection","features":[{"type":"Feature","properties":{"ref":"M","name":"Mill Lane chip yard"},"geometry":{"type":"Point","coordinates":[-85.1985,40.1002]}}]}`

const crewsFile = "ref,name,depot_ref,people,skills\nP1,Pickup 1,N,2,ground\nL1,Lift 1,N,3,ground lift\n"

// treesFile has 30 young trees along the two blocks; the first is the
// crabapple with two tops by the bus lane.
func treesFile() string {
	var b strings.Builder
	b.WriteString("ref,species,lon,lat,address,planted,caliper_mm,dbh_cm,height_m,measured_on,stems,stage\n")
	b.WriteString("T-001,MALUS,-85.2018,40.10009,201 Weir Street,2019-11-05,45,10.6,4.1,2026-08-03,2,leader\n")
	for i := 2; i <= 30; i++ {
		fmt.Fprintf(&b, "T-%03d,ACRU,%.6f,40.10009,%d Weir Street,%d-04-10,50,%d,%d,2026-08-03,1,leader\n", i, -85.2018+float64(i)*0.00011, 200+i, 2012+i%10, 4+i%14, 3+i%6)
	}
	return b.String()
}

func newSite(t *testing.T) *site {
	t.Helper()
	var d store = dbtest.New(t)
	dir := t.TempDir()
	for _, f := range []struct{ layer, ext, text string }{
		{"districts", "geojson", districtsFile},
		{"streets", "geojson", streetsFile},
		{"depots", "geojson", depotsFile},
		{"dumps", "geojson", dumpsFile},
		{"crews", "csv", crewsFile},
		{"trees", "csv", treesFile()},
	} {
		path := filepath.Join(dir, f.layer+"."+f.ext)
		if err := os.WriteFile(path, []byte(f.text), 0o600); err != nil {
			t.Fatal(err)
		}
		res, err := jobs.Import{Store: d, Now: now}.Run(t.Context(), jobs.ImportRequest{Layer: f.layer, Path: path, Actor: "test"})
		if err != nil || res.Rejected > 0 {
			t.Fatalf("import %s: %v, %+v", f.layer, err, res)
		}
	}
	if _, err := (jobs.Due{Store: d, Now: now}).Run(t.Context(), jobs.DueRequest{Actor: "test"}); err != nil {
		t.Fatal(err)
	}
	h, err := api.New(api.Config{Store: d, Tokens: d, Health: d, Verbs: testVerbs(d), Log: slog.New(slog.DiscardHandler), Now: now, Version: "test"})
	if err != nil {
		t.Fatal(err)
	}
	s := &site{Server: httptest.NewServer(h), store: d}
	t.Cleanup(s.Close)
	for role, to := range map[scheduler.Role]*string{scheduler.RoleManager: &s.manager, scheduler.RoleAnalyst: &s.analyst} {
		if *to, err = d.AddToken(t.Context(), string(role), role, time.Time{}, by()); err != nil {
			t.Fatal(err)
		}
	}
	return s
}

func testVerbs(d store) api.Verbs {
	return api.Verbs{
		Calendar: func(ctx context.Context, tree int64, years int) ([]scheduler.Visit, error) {
			t, err := d.Tree(ctx, tree)
			if err != nil {
				return nil, err
			}
			res, err := jobs.Calendar{Store: d, Now: now}.Run(ctx, jobs.CalendarRequest{Tree: t.Tree.Ref, Years: years})
			return res.Visits, err
		},
		Overdue: func(ctx context.Context, night scheduler.Date) (scheduler.OverdueTable, error) {
			return jobs.Overdue{Store: d}.Run(ctx, night)
		},
		Growth: func(ctx context.Context, q jobs.GrowthRequest) (jobs.GrowthResult, error) {
			species, err := d.Species(ctx)
			if err != nil {
				return jobs.GrowthResult{}, err
			}
			return jobs.Growth(q, species)
		},
		PreviewPolicy: func(ctx context.Context, p scheduler.Policy) (scheduler.PolicyPreview, error) {
			return jobs.PolicyPreview{Store: d, Now: now}.Run(ctx, p, 0)
		},
		AddDeviation: func(ctx context.Context, q jobs.DeviationRequest) (scheduler.Deviation, error) {
			return jobs.AddDeviation{Store: d, Now: now}.Run(ctx, q)
		},
		Advise: func(ctx context.Context, q jobs.AdviseRequest) (jobs.AdviseResult, error) {
			return jobs.Advise{Store: d, Now: now}.Run(ctx, q)
		},
		Sheet: func(ctx context.Context, id int64, cards string) (sheet.Packet, error) {
			return jobs.Sheet{Store: d, Now: now}.Run(ctx, id, cards)
		},
		EditPacket: func(ctx context.Context, id int64, rev int, stop int64, e scheduler.StopEdit, by scheduler.Stamp) (scheduler.Packet, error) {
			return jobs.EditPacket{Store: d, Now: now}.Run(ctx, jobs.EditRequest{Packet: id, Revision: rev, Stop: stop, Edit: e, By: by})
		},
		Record: func(ctx context.Context, r scheduler.WorkRecord, by scheduler.Stamp) (scheduler.RecordAnswer, error) {
			res, err := jobs.Record{Store: d, Now: now}.Run(ctx, jobs.RecordRequest{Records: []scheduler.WorkRecord{r}, Actor: by.Actor})
			if err != nil {
				return scheduler.RecordAnswer{}, err
			}
			if a := res.Answers[0]; a.Answer == nil {
				return scheduler.RecordAnswer{}, &scheduler.Error{Kind: a.Kind, Message: a.Error, Fields: a.Faults}
			}
			return *res.Answers[0].Answer, nil
		},
	}
}

// answer is what came back from one request.
type answer struct {
	*http.Response
	body []byte
}

// into decodes the body.
func (a *answer) into(t *testing.T, v any) {
	t.Helper()
	if err := json.Unmarshal(a.body, v); err != nil {
		t.Fatalf("decode %s: %v", a.body, err)
	}
}

// send makes a request as the manager; header names and values alternate.
func (s *site) send(t *testing.T, method, path string, body any, header ...string) *answer {
	t.Helper()
	var r io.Reader
	if body != nil {
		b, err := json.Marshal(body)
		if err != nil {
			t.Fatal(err)
		}
		r = bytes.NewReader(b)
	}
	return s.do(t, method, path, r, header...)
}

// post sends a desk's form as the manager.
func (s *site) post(t *testing.T, path, form string) *answer {
	t.Helper()
	return s.do(t, http.MethodPost, path, strings.NewReader(form), "Content-Type", "application/x-www-form-urlencoded")
}

func (s *site) do(t *testing.T, method, path string, r io.Reader, header ...string) *answer {
	t.Helper()
	req, err := http.NewRequestWithContext(t.Context(), method, s.URL+path, r)
	if err != nil {
		t.Fatal(err)
	}
	req.Header.Set("Authorization", "Bearer "+s.manager)
	req.Header.Set("Content-Type", "application/json")
	for i := 0; i+1 < len(header); i += 2 {
		req.Header.Set(header[i], header[i+1])
	}
	client := *s.Client()
	client.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	res, err := client.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	b, err := io.ReadAll(res.Body)
	if err != nil {
		t.Fatal(err)
	}
	return &answer{res, b}
}

// want fails unless the answer has the status.
func (a *answer) want(t *testing.T, status int) *answer {
	t.Helper()
	if a.StatusCode != status {
		t.Fatalf("%s %s: status %d, want %d: %s", a.Request.Method, a.Request.URL, a.StatusCode, status, a.body)
	}
	return a
}
