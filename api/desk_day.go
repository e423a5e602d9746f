package api

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"

	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

type dayView struct {
	From, To scheduler.Date
	Days     int
	Dates    []dateView
	Unserved []unservedRow // left out by the build that the address names
	Left     int

	Reminders     []scheduler.Reminder
	RemindersLeft int // beyond those shown
}

// unservedRow is a visit that a build left out.
type unservedRow struct {
	VisitID int64
	TreeID  int64
	Tree    string
	Reason  string
}

// unservedRows bounds the list on the page; the job's output has all of them.
const unservedRows = 100

type dateView struct {
	Label   string
	Packets []packetRow
}

type packetRow struct {
	ID       int64
	Crew     string
	State    scheduler.PacketState
	Trees    int
	Minutes  scheduler.Minutes
	Shift    int
	Bound    int
	Revision int
	Acts     []act
}

// act is a step that a packet may take next.
type act struct {
	State scheduler.PacketState
	Label string
}

func actsOf(s scheduler.PacketState) []act {
	var out []act
	for _, a := range []act{
		{scheduler.PacketIssued, "issue"},
		{scheduler.PacketStarted, "start"},
		{scheduler.PacketCompleted, "complete"},
		{scheduler.PacketWeatherHold, "weather hold"},
		{scheduler.PacketRecalled, "recall"},
	} {
		if s.May(a.State) {
			out = append(out, a)
		}
	}
	return out
}

func (s *server) dayPage(w http.ResponseWriter, r *http.Request) error {
	city, err := s.Store.City(r.Context())
	if err != nil {
		return err
	}
	v := dayView{From: s.today(city), Days: 7}
	if d, err := scheduler.ParseDate(r.URL.Query().Get("from")); err == nil {
		v.From = d
	}
	if n, err := strconv.Atoi(r.URL.Query().Get("days")); err == nil && n >= 1 && n <= 31 {
		v.Days = n
	}
	v.To = v.From.AddDays(v.Days - 1)
	packets, err := s.Store.PacketList(r.Context(), v.From, v.To, false)
	if err != nil {
		return err
	}
	crews, err := s.crewsByID(r)
	if err != nil {
		return err
	}
	for i := range v.Days {
		d := v.From.AddDays(i)
		date := dateView{Label: d.Time().Format("Monday 2 January 2006")}
		for j := range packets {
			if packets[j].Day == d {
				date.Packets = append(date.Packets, rowOf(&packets[j], crews))
			}
		}
		v.Dates = append(v.Dates, date)
	}
	if err := s.leftOut(r, &v); err != nil {
		return err
	}
	if err := s.toSeeTo(r, &v); err != nil {
		return err
	}
	return s.page(w, r, "day", view{Desk: "day", Title: "Day", Body: v})
}

func rowOf(p *scheduler.Packet, crews map[int64]scheduler.Crew) packetRow {
	row := packetRow{
		ID: p.ID, Crew: crews[p.CrewID].Name, State: p.State, Minutes: p.Minutes, Bound: p.Bound, Revision: p.Revision,
		Shift: max(crews[p.CrewID].ShiftMin, p.Minutes.Paid()), Acts: actsOf(p.State),
	}
	for _, st := range p.Stops {
		if st.Kind == scheduler.StopTree {
			row.Trees++
		}
	}
	return row
}

func (s *server) crewsByID(r *http.Request) (map[int64]scheduler.Crew, error) {
	list, err := s.Store.Crews(r.Context())
	by := make(map[int64]scheduler.Crew, len(list))
	for _, c := range list {
		by[c.ID] = c
	}
	return by, err
}

func (s *server) dayBuild(w http.ResponseWriter, r *http.Request) error {
	f := form{r: r}
	from, days := f.date("from"), f.number("days")
	if err := f.err(); err != nil {
		return err
	}
	word, job, err := s.follow(r.Context(), "Building packets", jobs.PacketsArgs{From: from, Days: days, Actor: who(r.Context()).actor})
	if err != nil {
		return err
	}
	back(w, r, fmt.Sprintf("/day?from=%s&days=%d&job=%d", from, days, job), word)
	return nil
}

// leftOut lists what the build named in the address could not place, and why.
func (s *server) leftOut(r *http.Request, v *dayView) error {
	job, err := strconv.ParseInt(r.URL.Query().Get("job"), 10, 64)
	if err != nil {
		return nil // no build is named
	}
	st, err := s.Store.JobStatus(r.Context(), job)
	if err != nil {
		return err
	}
	var res jobs.PackResult
	if len(st.Output) == 0 || st.Kind != (jobs.PacketsArgs{}).Kind() {
		return nil
	}
	if err := json.Unmarshal(st.Output, &res); err != nil {
		return fmt.Errorf("read output of job %d: %w", job, err)
	}
	v.Left = len(res.Unserved)
	for _, u := range res.Unserved[:min(unservedRows, len(res.Unserved))] {
		row := unservedRow{VisitID: u.VisitID, Reason: u.Reason}
		if x, err := s.Store.Visit(r.Context(), u.VisitID); err == nil { // withdrawn since: the id alone
			if t, err := s.Store.Tree(r.Context(), x.TreeID); err == nil {
				row.TreeID, row.Tree = t.Tree.ID, t.Tree.Ref
			}
		}
		v.Unserved = append(v.Unserved, row)
	}
	return nil
}
