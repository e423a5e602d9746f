package scheduler

import "time"

// OverdueRow is one district in the analyst's table. A tree with visits in
// several states counts in each state's visits, and once in Trees.
type OverdueRow struct {
	District  string             `json:"district"` // ref; empty for trees outside every district
	Name      string             `json:"name"`
	Version   int                `json:"district_version"` // a moved boundary is a new version; 0 outside every district
	Trees     int                `json:"trees"`            // standing trees: alive, dead or stump
	Late      int                `json:"trees_overdue"`    // trees with an overdue visit
	Share     float64            `json:"share_overdue"`    // Late / Trees, 0 without trees
	Visits    map[VisitState]int `json:"visits"`           // open visits by state
	ByKind    map[WorkKind]int   `json:"overdue_by_kind"`
	Oldest    Date               `json:"oldest_latest"` // earliest last date among overdue visits
	CrewHours float64            `json:"crew_hours"`    // work at the tree of the overdue visits, without traffic set-up and driving
}

// OverdueTable is the state of the whole city on the day of the last due pass,
// or as it was on a past night.
type OverdueTable struct {
	AsOf     Date         `json:"as_of"` // day of the last pass over the whole city; zero when there was none
	PolicyID int64        `json:"policy"`
	Rows     []OverdueRow `json:"rows"`
	Total    OverdueRow   `json:"total"`
}

// OverdueNight is one past night of which the table was kept.
type OverdueNight struct {
	Night    Date      `json:"night"`
	PolicyID int64     `json:"policy"`
	MadeAt   time.Time `json:"made_at"`
	Trees    int       `json:"trees"`
	Late     int       `json:"trees_overdue"`
}

// Sum fills the total from the rows.
func (t *OverdueTable) Sum() {
	t.Total = OverdueRow{Name: "all", Visits: map[VisitState]int{}, ByKind: map[WorkKind]int{}}
	sum := &t.Total
	for i := range t.Rows {
		r := &t.Rows[i]
		sum.Trees += r.Trees
		sum.Late += r.Late
		sum.CrewHours += r.CrewHours
		for k, n := range r.Visits {
			sum.Visits[k] += n
		}
		for k, n := range r.ByKind {
			sum.ByKind[k] += n
		}
		if !r.Oldest.IsZero() && (sum.Oldest.IsZero() || r.Oldest < sum.Oldest) {
			sum.Oldest = r.Oldest
		}
	}
	if sum.Trees > 0 {
		sum.Share = float64(sum.Late) / float64(sum.Trees)
	}
}
