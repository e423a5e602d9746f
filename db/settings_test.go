package db_test

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"limbround/db/dbtest"
	"limbround/scheduler"
)

func TestCitySettings(t *testing.T) {
	d, ctx := dbtest.New(t), t.Context()
	want := scheduler.City{
		Name: "Alder Falls", TimeZone: "America/Chicago", Units: "metric", FiscalMonth: 7,
		Hospital: "Falls General, 1 Mill Street", Emergency: "911", UtilityPhone: "555 0100",
	}
	if err := d.SetCity(ctx, want, by); err != nil {
		t.Fatal(err)
	}
	if err := d.SetCitySRID(ctx, 26915, by); err != nil {
		t.Fatal(err)
	}
	want.SRID = 26915
	got, err := d.City(ctx)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	for name, bad := range map[string]scheduler.City{
		"time_zone":    {TimeZone: "Mars/Olympus", Units: "us", FiscalMonth: 1},
		"units":        {TimeZone: "UTC", Units: "furlong", FiscalMonth: 1},
		"fiscal_month": {TimeZone: "UTC", Units: "us", FiscalMonth: 13},
	} {
		err := d.SetCity(ctx, bad, by)
		wantKind(t, err, scheduler.Invalid)
		if !strings.Contains(err.Error(), name) {
			t.Errorf("%v does not name %s", err, name)
		}
	}
	wantKind(t, d.SetCity(ctx, want, scheduler.Stamp{}), scheduler.Invalid)
}

func TestCitySRIDIsMetricAndFixed(t *testing.T) {
	d, ctx := dbtest.New(t), t.Context()
	wantKind(t, d.SetCitySRID(ctx, 4326, by), scheduler.Invalid)   // degrees
	wantKind(t, d.SetCitySRID(ctx, 2263, by), scheduler.Invalid)   // US survey feet
	wantKind(t, d.SetCitySRID(ctx, 999123, by), scheduler.Invalid) // unknown
	for range 2 {
		if err := d.SetCitySRID(ctx, 32618, by); err != nil {
			t.Fatal(err)
		}
	}
	wantKind(t, d.SetCitySRID(ctx, 32617, by), scheduler.Clash)
}

func TestPolicyInForce(t *testing.T) {
	d, ctx := dbtest.New(t), t.Context()
	source, err := scheduler.Preset("lower-midwest")
	if err != nil {
		t.Fatal(err)
	}
	first, err := d.CurrentPolicy(ctx, today)
	if err != nil {
		t.Fatal(err)
	}
	add := func(effective string) int64 {
		t.Helper()
		text := bytes.Replace(source, []byte("effective: "+first.Effective.String()), []byte("effective: "+effective), 1)
		p, err := scheduler.ParsePolicy(text)
		if err != nil {
			t.Fatal(err)
		}
		id, err := d.AddPolicy(ctx, text, p, by)
		if err != nil {
			t.Fatal(err)
		}
		if again, err := d.AddPolicy(ctx, text, p, by); err != nil || again != id {
			t.Errorf("the same text again: %d, %v; want %d", again, err, id)
		}
		return id
	}
	next := add("2027-03-01")
	later := add("2028-03-01")
	for _, c := range []struct {
		on   string
		want int64
	}{
		{"2020-01-01", first.ID},
		{"2026-06-01", first.ID},
		{"2027-02-28", first.ID},
		{"2027-03-01", next},
		{"2028-02-29", next},
		{"2031-01-01", later},
	} {
		on, err := scheduler.ParseDate(c.on)
		if err != nil {
			t.Fatal(err)
		}
		if p, err := d.CurrentPolicy(ctx, on); err != nil || p.ID != c.want {
			t.Errorf("on %s: policy %d, %v; want %d", c.on, p.ID, err, c.want)
		}
	}
	if p, err := d.PolicyByID(ctx, next); err != nil || p.Effective.String() != "2027-03-01" {
		t.Errorf("by id: %v, %v", p.Effective, err)
	}
	_, err = d.PolicyByID(ctx, 12345)
	wantKind(t, err, scheduler.NotFound)
	if list, err := d.ListPolicies(ctx); err != nil || len(list) != 3 || list[0].ID != later {
		t.Errorf("list: %d policies, %v", len(list), err)
	}
	if text, err := d.PolicySource(ctx, first.ID); err != nil || !bytes.Equal(text, source) {
		t.Errorf("source is not the text as adopted: %v", err)
	}
}

func TestTokens(t *testing.T) {
	d, ctx := dbtest.New(t), t.Context()
	secret, err := d.AddToken(ctx, "dana", scheduler.RoleDispatcher, time.Time{}, by)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(secret, "lr_") || len(secret) != 3+43 {
		t.Errorf("secret has an odd shape (%d characters)", len(secret))
	}
	actor, role, err := d.TokenActor(ctx, secret)
	if err != nil || actor != "dana" || role != scheduler.RoleDispatcher {
		t.Fatalf("got %q %q %v", actor, role, err)
	}
	old, err := d.AddToken(ctx, "eli", scheduler.RoleCrew, time.Date(2001, 1, 1, 0, 0, 0, 0, time.UTC), by)
	if err != nil {
		t.Fatal(err)
	}
	for _, bad := range []string{old, "", "lr_wrong", strings.ToUpper(secret)} {
		_, _, err := d.TokenActor(ctx, bad)
		wantKind(t, err, scheduler.Unauthorized)
	}
	list, err := d.ListTokens(ctx)
	if err != nil || len(list) != 2 {
		t.Fatalf("list: %d, %v", len(list), err)
	}
	for _, tok := range list {
		if tok.Actor == "dana" {
			if err := d.RevokeToken(ctx, tok.ID, by); err != nil {
				t.Fatal(err)
			}
			wantKind(t, d.RevokeToken(ctx, tok.ID, by), scheduler.NotFound)
		}
	}
	_, _, err = d.TokenActor(ctx, secret)
	wantKind(t, err, scheduler.Unauthorized)
	if n := count(t, d, `SELECT count(*) FROM audit WHERE detail::text LIKE '%lr_%'`); n != 0 {
		t.Error("the audit holds a secret")
	}
	_, err = d.AddToken(ctx, "eli", "king", time.Time{}, by)
	wantKind(t, err, scheduler.Invalid)
	wantKind(t, d.RevokeToken(ctx, "zz", by), scheduler.Invalid)
}

func TestAuditIsWrittenOrderedAndAppendOnly(t *testing.T) {
	d, ctx := dbtest.New(t), t.Context()
	for _, name := range []string{"Alder", "Birch", "Cedar"} {
		if err := d.SetCity(ctx, scheduler.City{Name: name, TimeZone: "UTC", Units: "us", FiscalMonth: 1}, by); err != nil {
			t.Fatal(err)
		}
	}
	first, err := d.Audit(ctx, "city", "settings", 0, 2)
	if err != nil || len(first) != 2 {
		t.Fatalf("%d lines, %v", len(first), err)
	}
	rest, err := d.Audit(ctx, "city", "settings", first[1].ID, 10)
	if err != nil || len(rest) != 1 || !bytes.Contains(rest[0].Detail, []byte("Alder")) {
		t.Fatalf("reading on: %v, %v", rest, err)
	}
	if e := first[0]; e.Actor != by.Actor || !e.At.Equal(by.At) || e.Verb != "set" {
		t.Errorf("line: %+v", e)
	}
	for _, sql := range []string{`UPDATE audit SET actor = 'x'`, `DELETE FROM audit`, `TRUNCATE audit`} {
		if tryExec(t, d, sql) == nil {
			t.Errorf("%s went through", sql)
		}
	}
}
