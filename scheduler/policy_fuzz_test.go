package scheduler

import (
	"errors"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Whatever the file holds, the answer is a policy or faults with rules, the
// same ones every time.
func FuzzParsePolicy(f *testing.F) {
	text, err := Preset("lower-midwest")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(text)
	f.Add([]byte("name: x\nseasons: {dormant: {from: 11-01, to: 02-30}}\n"))
	f.Add([]byte("a: &a [*a]\n---\nb: !!set {? x}\n"))
	f.Add([]byte("training:\n  small_cut: 50\n  stages: [{stage: leader}, {stage: leader}]\n"))
	f.Add([]byte("clearance: {roads: [{class: alley, to_centre: maybe}, {to_centre: true}, {to_centre: [1]}]}\n"))
	f.Add([]byte("practice: {cut_rows: [25 mm, 50 mm], cut_ratios: [0.5, 0.3, x]}\n"))
	f.Add([]byte("work: {set_up_min: {arterial: -1, lane: x}}\n"))
	f.Fuzz(func(t *testing.T, b []byte) {
		p, err := ParsePolicy(b)
		q, again := ParsePolicy(b)
		if diff := cmp.Diff(p, q); diff != "" || (err == nil) != (again == nil) {
			t.Fatalf("two readings differ: %v, %v\n%s", err, again, diff)
		}
		if err == nil {
			return
		}
		var e, f *Error
		if !errors.As(err, &e) || e.Kind != Invalid || !errors.As(again, &f) {
			t.Fatalf("error %v, want kind invalid", err)
		}
		if diff := cmp.Diff(e.Fields, f.Fields); diff != "" {
			t.Fatalf("faults differ between readings:\n%s", diff)
		}
		for _, fault := range e.Fields {
			if fault.Rule == "" {
				t.Fatalf("fault without a rule: %+v", fault)
			}
		}
	})
}
