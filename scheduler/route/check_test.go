package route

import (
	"encoding/json"
	"testing"
)

// A checker that passes everything checks nothing: each way to spoil a good
// plan must be found.
func TestCheckFindsWhatIsBroken(t *testing.T) {
	p := randomProblem(11, shape{stops: 40, groups: 12, vehicles: 5, dumps: 2})
	good := solve(t, p, Limits{Seed: 1, Iterations: 200})
	if len(good.Routes) < 2 {
		t.Fatalf("%d routes, want two at least", len(good.Routes))
	}
	trip := -1
	for k, s := range good.Routes[0].Steps {
		if s.Stop < 0 {
			trip = k
		}
	}
	if trip < 0 {
		t.Fatal("no dump trip to spoil")
	}
	for name, spoil := range map[string]func(*Result){
		"stop twice":    func(r *Result) { r.Routes[0].Steps = append(r.Routes[0].Steps, r.Routes[0].Steps[0]) },
		"stop lost":     func(r *Result) { r.Routes = r.Routes[1:] },
		"vehicle twice": func(r *Result) { r.Routes[1].Vehicle = r.Routes[0].Vehicle },
		"drive":         func(r *Result) { r.Routes[0].Steps[1].Drive++ },
		"arrival":       func(r *Result) { r.Routes[0].Steps[0].Arrive-- },
		"set-up":        func(r *Result) { r.Routes[0].Steps[0].SetUp = 0; r.Routes[0].Steps[0].Work++ },
		"way back":      func(r *Result) { r.Routes[0].Finish -= 60 },
		"trip forgotten": func(r *Result) {
			r.Routes[0].Steps = append(r.Routes[0].Steps[:trip:trip], r.Routes[0].Steps[trip+1:]...)
		},
		"cost":     func(r *Result) { r.Cost.Drive-- },
		"bound":    func(r *Result) { r.Bound = r.Cost.Paid() + 1 },
		"no cause": func(r *Result) { r.Unserved = append(r.Unserved, Unserved{Stop: 0}) },
	} {
		var r Result
		b, err := json.Marshal(good)
		if err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(b, &r); err != nil {
			t.Fatal(err)
		}
		spoil(&r)
		if Check(&p, &r) == nil {
			t.Errorf("%s: not found", name)
		}
	}
	// A stop left out though a vehicle stands idle.
	lone := Problem{Places: 2, Travel: []Travel{line(2)}, Stops: []Stop{{Place: 1, Service: 60}}, Vehicles: []Vehicle{{Productive: 999}}}
	if Check(&lone, &Result{Unserved: []Unserved{{Stop: 0, Cause: NoTimeLeft}}}) == nil {
		t.Error("idle vehicle: not found")
	}
}
