package scheduler

// PlanState is the life of an annual plan.
type PlanState string

// The plan states.
const (
	PlanDraft      PlanState = "draft"
	PlanAdopted    PlanState = "adopted"
	PlanSuperseded PlanState = "superseded"
)

// Plan is one version of an annual plan.
type Plan struct {
	ID        int64      `json:"id"`
	Year      int        `json:"year"`
	Version   int        `json:"version"` // counts up within a year
	State     PlanState  `json:"state"`
	PolicyID  int64      `json:"policy_id"`
	MadeOn    Date       `json:"made_on"`
	Adopted   Date       `json:"adopted"`
	AdoptedBy string     `json:"adopted_by"`
	Lines     []PlanLine `json:"lines,omitempty"`
	Hours     float64    `json:"hours"`     // crew hours planned, set-up included
	Available float64    `json:"available"` // crew hours there are
	Objective []int64    `json:"objective"` // weighted lateness per class, class 0 first
	Bound     []int64    `json:"bound"`     // proven lower bound of each
	Revision  int        `json:"-"`         // edit counter behind the ETag
}

// PlanLine gives one visit its week, or the reason it is carried over.
type PlanLine struct {
	VisitID int64  `json:"visit_id"`
	Week    Date   `json:"week"` // Monday; zero when carried over
	Skill   Skill  `json:"skill"`
	Minutes int    `json:"minutes"` // work and its share of traffic set-up
	Carried string `json:"carried,omitempty"`
}
