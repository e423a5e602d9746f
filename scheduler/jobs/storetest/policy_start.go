package storetest

import (
	"testing"

	"limbround/scheduler"
)

// A later version of the policy keeps the day from which records count, so that
// the first looks that are waiting keep their years; a day of its own, and a
// version that nobody has adopted, do not follow.
func policyKeepsItsStart(t *testing.T, w *town) {
	day := func(s string) scheduler.Date {
		d, err := scheduler.ParseDate(s)
		w.must(err)
		return d
	}
	in := func(on string) scheduler.Policy {
		p, err := w.CurrentPolicy(t.Context(), day(on))
		w.must(err)
		return p
	}
	draft := in("2026-11-20")
	if draft.AdoptedBy != "" || draft.Start() != draft.Effective {
		t.Fatalf("the built-in version: adopted by %q, counts from %s", draft.AdoptedBy, draft.Start())
	}
	w.adopt(`adopted_by: ""`, "adopted_by: council", "effective: 2026-01-01", "effective: 2027-02-01")
	w.adopt(`adopted_by: ""`, "adopted_by: council", "effective: 2026-01-01", "effective: 2029-05-01")
	w.adopt("effective: 2026-01-01", "effective: 2031-05-01")
	w.adopt("effective: 2026-01-01", "effective: 2033-05-01", "first_look:\n", "first_look:\n  from: 2032-01-01\n")
	for _, c := range []struct{ on, start string }{
		{"2026-11-20", "2026-01-01"}, // older than the first that was adopted
		{"2027-06-01", "2027-02-01"},
		{"2030-01-01", "2027-02-01"},
		{"2031-06-01", "2027-02-01"},
		{"2034-01-01", "2032-01-01"},
	} {
		p := in(c.on)
		if got := p.Start(); got != day(c.start) {
			t.Errorf("in force on %s: records count from %s, want %s", c.on, got, c.start)
		}
		again, err := w.PolicyByID(t.Context(), p.ID)
		w.must(err)
		if again.Start() != p.Start() {
			t.Errorf("version %d counts from %s by its number, and from %s in force", p.ID, again.Start(), p.Start())
		}
	}
}
