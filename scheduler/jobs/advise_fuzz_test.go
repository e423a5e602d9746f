package jobs

import (
	"bytes"
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"limbround/scheduler"
	"limbround/scheduler/due"
)

// Whatever a body holds, the answer is advice within the dose, or faults that
// name their rules; and it is the same every time.
func FuzzAdviseRequest(f *testing.F) {
	src, err := scheduler.Preset("upper-midwest")
	if err != nil {
		f.Fatal(err)
	}
	policy, err := scheduler.ParsePolicy(src)
	if err != nil {
		f.Fatal(err)
	}
	species, err := scheduler.SpeciesTable()
	if err != nil {
		f.Fatal(err)
	}
	r, err := rulesOf(policy, species)
	if err != nil {
		f.Fatal(err)
	}
	for _, body := range []string{
		`{"species": "ACRU", "dbh_mm": 120, "vigour": "good", "branch": {"role": "competing_leader", "on": "2027-01-15", "diameter_mm": 56, "stem_diameter_mm": 70}}`,
		`{"species": "pin oak", "age_years": 9.5, "branch": {"role": "temporary", "on": "2027-06-01", "measured_on": "2024-02-29", "diameter_mm": 20, "gap_mm": null}}`,
		`{"species": "SAPA", "branch": {"role": "dead", "on": "2027-06-01", "diameter_mm": 20, "stem_diameter_mm": 300, "signs": ["bees", "crack_at_union"]}}`,
		`{"species": "ULAM", "dbh_mm": -5, "vigour": "great", "stage": "rotation", "branch": {"role": "pressing", "gap_mm": 9999999, "next_visit": "1990-01-01"}}`,
		`{"species": "ULAM", "dbh_mm": 400, "stage": "rotation", "branch": {"role": "pressing", "on": "2149-12-31", "diameter_mm": 3000, "gap_mm": 1, "reduced_on": "0001-01-02"}}`,
		`{"letter": "A", "species": "ACRU"}`,
		`{"branch": {"diameter_mm": 99999999999}}`,
	} {
		f.Add([]byte(body))
	}
	f.Fuzz(func(t *testing.T, body []byte) {
		d := json.NewDecoder(bytes.NewReader(body))
		var q AdviseRequest
		if err := d.Decode(&q); err != nil {
			return
		}
		got, err := r.adviseAlone(q)
		again, err2 := r.adviseAlone(q)
		if diff := cmp.Diff(got, again); diff != "" || (err == nil) != (err2 == nil) {
			t.Fatalf("two answers: %v, %v\n%s", err, err2, diff)
		}
		if err != nil {
			var e *scheduler.Error
			if !errors.As(err, &e) || e.Kind != scheduler.Invalid {
				t.Fatalf("error %v, want kind invalid", err)
			}
			for _, fault := range e.Fields {
				if fault.Field == "" || fault.Rule == "" {
					t.Fatalf("fault without field or rule: %+v", fault)
				}
			}
			return
		}
		stop := got.Advice.Advice == due.Stop
		if got.Take > got.DoseLeft || stop != (len(got.Call) > 0) || stop != (len(q.Branch.Signs) > 0 || stop && q.Branch.WireGap > 0) || got.Foot == "" {
			t.Fatalf("%+v", got)
		}
		if strings.Contains(got.Sentence, "safe") || !strings.HasSuffix(got.Sentence, ".") {
			t.Fatalf("sentence %q", got.Sentence)
		}
		if _, err := json.Marshal(got); err != nil {
			t.Fatal(err)
		}
	})
}
