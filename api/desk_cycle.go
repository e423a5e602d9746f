package api

import (
	"net/http"
	"sort"
	"strconv"

	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

type cycleView struct {
	Year           int
	Policy         scheduler.Policy
	Trees, Open    int
	Overdue        int
	OverdueMinutes int64
	Plans          []scheduler.Plan
	WeeksOf        string
	Weeks          []weekView
	WeekMax        int
	Carried        []carriedView
}

type weekView struct {
	Monday  scheduler.Date
	Visits  int
	Minutes int64
	Part    int
}

type carriedView struct {
	Reason string
	Visits int
}

func (s *server) cyclePage(w http.ResponseWriter, r *http.Request) error {
	v, err := s.cycleView(r)
	if err != nil {
		return err
	}
	return s.page(w, r, "cycle", view{Desk: "cycle", Title: "Cycle", Body: v})
}

func (s *server) cycleView(r *http.Request) (cycleView, error) {
	ctx := r.Context()
	var v cycleView
	city, err := s.Store.City(ctx)
	if err != nil {
		return v, err
	}
	today := s.today(city)
	v.Year = today.AddMonths(3).Year() // in autumn the coming year is the one to plan
	if v.Policy, err = s.Store.CurrentPolicy(ctx, today); err != nil {
		return v, err
	}
	table, err := s.Verbs.Overdue(ctx, 0)
	if err != nil && scheduler.KindOf(err) != scheduler.Clash { // the rules have not run yet: the page says what to do
		return v, err
	}
	v.Trees, v.Overdue = table.Total.Trees, table.Total.Late
	v.OverdueMinutes = int64(table.Total.CrewHours * 60)
	for _, n := range table.Total.Visits {
		v.Open += n
	}
	if v.Plans, err = s.Store.PlanList(ctx, 0); err != nil || len(v.Plans) == 0 {
		return v, err
	}
	p, err := s.Store.Plan(ctx, newest(v.Plans).ID)
	if err != nil {
		return v, err
	}
	v.fill(&p)
	return v, nil
}

// newest prefers an adopted plan, then the one made last.
func newest(plans []scheduler.Plan) scheduler.Plan {
	best := plans[0]
	for _, p := range plans {
		if p.State == scheduler.PlanAdopted && (best.State != scheduler.PlanAdopted || p.Year > best.Year) {
			best = p
		}
	}
	return best
}

func (v *cycleView) fill(p *scheduler.Plan) {
	weeks := map[scheduler.Date]*weekView{}
	carried := map[string]int{}
	for _, l := range p.Lines {
		if l.Week.IsZero() {
			carried[scheduler.Gist(l.Carried)]++
			continue
		}
		if weeks[l.Week] == nil {
			weeks[l.Week] = &weekView{Monday: l.Week}
		}
		weeks[l.Week].Visits++
		weeks[l.Week].Minutes += int64(l.Minutes)
	}
	for _, w := range weeks {
		w.Part = int(w.Minutes)
		v.WeekMax = max(v.WeekMax, w.Part)
		v.Weeks = append(v.Weeks, *w)
	}
	sort.Slice(v.Weeks, func(i, j int) bool { return v.Weeks[i].Monday < v.Weeks[j].Monday })
	for why, n := range carried {
		v.Carried = append(v.Carried, carriedView{why, n})
	}
	sort.Slice(v.Carried, func(i, j int) bool {
		a, b := v.Carried[i], v.Carried[j]
		return a.Visits > b.Visits || a.Visits == b.Visits && a.Reason < b.Reason
	})
	v.WeeksOf = "Weeks of " + strconv.Itoa(p.Year) + ", version " + strconv.Itoa(p.Version) + " (" + string(p.State) + ")"
}

func (s *server) cycleDue(w http.ResponseWriter, r *http.Request) error {
	city, err := s.Store.City(r.Context())
	if err != nil {
		return err
	}
	return s.acted(w, r, "/cycle", "Renewing the due visits", jobs.DueArgs{AsOf: s.today(city), Actor: who(r.Context()).actor})
}

func (s *server) cyclePlan(w http.ResponseWriter, r *http.Request) error {
	f := form{r: r}
	year := f.number("year")
	city, err := s.Store.City(r.Context())
	if err == nil {
		err = f.err()
	}
	if err != nil {
		return err
	}
	return s.acted(w, r, "/cycle", "Making the annual plan", jobs.PlanArgs{Year: year, AsOf: s.today(city), Actor: who(r.Context()).actor})
}

func (s *server) cycleAdopt(w http.ResponseWriter, r *http.Request) error {
	f := form{r: r}
	id, rev := f.number("plan"), f.number("revision")
	err := f.err()
	if err == nil {
		err = s.Store.AdoptPlan(r.Context(), int64(id), rev, s.stamp(r.Context()))
	}
	if err != nil {
		return err
	}
	back(w, r, "/cycle", "The plan is adopted.")
	return nil
}

// acted runs a job for a form and goes back to its page.
func (s *server) acted(w http.ResponseWriter, r *http.Request, path, what string, args scheduler.JobArgs) error {
	word, _, err := s.follow(r.Context(), what, args)
	if err != nil {
		return err
	}
	back(w, r, path, word)
	return nil
}
