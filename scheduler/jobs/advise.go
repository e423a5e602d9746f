package jobs

import (
	"context"
	"fmt"
	"strings"
	"time"

	"limbround/geo"
	"limbround/scheduler"
	"limbround/scheduler/due"
	"limbround/scheduler/growth"
)

// AdviseRequest asks about one branch: of a tree on record, whose watch item
// may fill in the branch, or of a tree that the request describes.
type AdviseRequest struct {
	Tree   string `json:"tree"`   // the city's number; then the next fields are not used
	Letter string `json:"letter"` // of an open watch item of the tree

	Species string           `json:"species"` // code, scientific or common name
	DBH     geo.Length       `json:"dbh_mm"`
	Age     float64          `json:"age_years"` // since planting, when the dbh was not measured
	Height  geo.Length       `json:"tree_height_mm"`
	Vigour  scheduler.Vigour `json:"vigour"`
	Stage   scheduler.Stage  `json:"stage"`

	Branch due.Branch `json:"branch"`
}

// AdviseResult is the advice with what it was given about.
type AdviseResult struct {
	Tree    string     `json:"tree,omitempty"`
	Letter  string     `json:"letter,omitempty"`
	Species string     `json:"species"`
	Policy  string     `json:"policy"`
	Branch  due.Branch `json:"branch"`
	due.Advice
}

// Advise answers about one branch by the rules in force.
type Advise struct {
	Store CalendarStore
	Now   func() time.Time
}

// Run answers; an unknown tree or letter is NotFound. Nothing is written.
func (a Advise) Run(ctx context.Context, q AdviseRequest) (AdviseResult, error) {
	r, err := loadRules(ctx, a.Store, a.Now(), q.Branch.On)
	if err != nil {
		return AdviseResult{}, err
	}
	q.Branch.On = r.today
	if q.Tree == "" {
		return r.adviseAlone(q)
	}
	ts, err := a.Store.TreeByRef(ctx, q.Tree)
	if err != nil {
		return AdviseResult{}, err
	}
	if q.Letter != "" {
		if err := fillWatch(&q, ts.Tree.Watch); err != nil {
			return AdviseResult{}, err
		}
	}
	return r.advise(q, ts.Tree, ts.Site)
}

// fillWatch takes what the request leaves open from the tree's watch item.
func fillWatch(q *AdviseRequest, list []scheduler.WatchItem) error {
	for i := range list {
		if list[i].Letter != q.Letter || list[i].Resolved {
			continue
		}
		if !q.Branch.Fill(&list[i]) {
			return scheduler.Errorf(scheduler.Invalid, "watch item %s (%s): say the role of the branch", q.Letter, list[i].What)
		}
		return nil
	}
	return scheduler.Errorf(scheduler.NotFound, "tree %s: there is no open watch item %q", q.Tree, q.Letter)
}

// AdviseAlone answers about a tree that nobody has on record, by a policy that
// need not be in force anywhere.
func AdviseAlone(q AdviseRequest, p scheduler.Policy, species []scheduler.Species) (AdviseResult, error) {
	if _, ok := growth.RegionOf(p.Region); !ok {
		return AdviseResult{}, &scheduler.Error{
			Kind: scheduler.Invalid, Message: fmt.Sprintf("region %q: there are no growth curves for it", p.Region),
			Hint: "the regions are " + strings.Join(regionCodes(), ", "),
		}
	}
	r, err := rulesOf(p, species)
	if err != nil {
		return AdviseResult{}, err
	}
	return r.adviseAlone(q)
}

// adviseAlone makes the tree that the request describes: measured on the day,
// or planted as many years before it as it is old.
func (r *rules) adviseAlone(q AdviseRequest) (AdviseResult, error) {
	if q.Letter != "" {
		return AdviseResult{}, scheduler.Errorf(scheduler.Invalid, "letter %q: a watch item needs a tree on record", q.Letter)
	}
	sp, ok := speciesNamed(q.Species, r.list)
	if !ok {
		return AdviseResult{}, scheduler.Errorf(scheduler.Invalid, "species %q: not in the species table", q.Species)
	}
	if err := q.check(); err != nil {
		return AdviseResult{}, err
	}
	t := scheduler.Tree{
		Species: sp.Code, State: scheduler.Alive, Stems: 1, Vigour: q.Vigour, Stage: q.Stage, Caliper: geo.None,
		DBH: q.DBH.OrNone(), Height: q.Height.OrNone(), Crown: geo.None, MeasuredOn: q.Branch.On,
		BaseRoad: geo.None, BaseWalk: geo.None, Permanent: geo.None,
	}
	if q.Age > 0 {
		t.Planted = q.Branch.On - scheduler.Date(q.Age*365.2425)
	}
	if q.Stage != "" && q.Stage != scheduler.StageUnknown && q.Stage != scheduler.StageEstablishing {
		t.LastVisit = q.Branch.On // somebody stands at it and says the stage
	}
	none := geo.None
	s := scheduler.Site{
		Owner: scheduler.OwnerCity, WireClass: scheduler.WireNone, ToCurb: none, ToLane: none, HalfRoad: none, ToWalk: none,
		ToWire: none, WireHeight: none, ToSign: none, ToLight: none, ToJunction: none,
	}
	return r.advise(q, t, s)
}

func (r *rules) advise(q AdviseRequest, t scheduler.Tree, s scheduler.Site) (AdviseResult, error) {
	a, err := r.engine.Advise(t, s, q.Branch)
	return AdviseResult{Tree: q.Tree, Letter: q.Letter, Species: r.species[t.Species].Scientific, Policy: r.policy.Name, Branch: q.Branch, Advice: a}, err
}
