package crewday

import (
	"testing"

	"limbround/scheduler"
)

// check holds a result against its request, by what a dispatcher would check.
func check(t *testing.T, r *Request, out *Result) {
	t.Helper()
	jobs := map[int64]*Job{}
	for i := range r.Jobs {
		jobs[r.Jobs[i].Visit.ID] = &r.Jobs[i]
	}
	crews := map[int64]*scheduler.Crew{}
	for i := range r.Crews {
		crews[r.Crews[i].ID] = &r.Crews[i]
	}
	dumps := map[int64]scheduler.Dump{}
	for _, d := range r.Dumps {
		dumps[d.ID] = d
	}
	count := map[int64]int{}
	days := map[scheduler.CrewDay]bool{}
	total := scheduler.Minutes{}
	for i := range out.Packets {
		p := &out.Packets[i]
		c := crews[p.CrewID]
		at := scheduler.CrewDay{CrewID: p.CrewID, Day: p.Day}
		if days[at] || !c.Works(p.Day) || len(c.Expired(p.Day)) > 0 {
			t.Errorf("crew %d on %s: a second packet, no shift or an expired ticket", p.CrewID, p.Day)
		}
		days[at] = true
		checkPacket(t, p, c, jobs, dumps, count)
		total = sum(total, p.Minutes)
		if p.Bound <= 0 || p.Bound > p.Minutes.Paid() {
			t.Errorf("crew %d on %s: bound of %d minutes for %d", p.CrewID, p.Day, p.Bound, p.Minutes.Paid())
		}
	}
	for _, u := range out.Unserved {
		count[u.VisitID]++
		if u.Reason == "" {
			t.Errorf("visit %d is left out without a reason", u.VisitID)
		}
	}
	for id := range jobs {
		if count[id] != 1 {
			t.Errorf("visit %d is in the result %d times", id, count[id])
		}
	}
	if total != out.Minutes || out.Bound > total.Paid() {
		t.Errorf("minutes are %+v (bound %d), the packets add up to %+v", out.Minutes, out.Bound, total)
	}
}

func checkPacket(t *testing.T, p *scheduler.Packet, c *scheduler.Crew, jobs map[int64]*Job, dumps map[int64]scheduler.Dump, count map[int64]int) {
	t.Helper()
	m := scheduler.Minutes{Yard: c.YardMin}
	now, load, flag := leaves(c), 0, ""
	for k, s := range p.Stops {
		if s.Seq != k+1 || s.Drive < 0 || s.Arrive != now+s.Drive || s.State != scheduler.StopPlanned {
			t.Errorf("crew %d on %s: stop %d is %+v at %d", p.CrewID, p.Day, k+1, s, now)
		}
		now = s.Arrive + s.SetUp + s.Work
		m.Drive += s.Drive
		m.SetUp += s.SetUp
		switch s.Kind {
		case scheduler.StopBreak:
			m.Break += s.Work
		case scheduler.StopDump:
			d := dumps[s.DumpID]
			if s.Work != d.Minutes || load > 0 && d.Sanitary != flag {
				t.Errorf("dump %d takes %d minutes and wood of rule %q", s.DumpID, s.Work, flag)
			}
			load = 0
			m.Dump += s.Work
		default:
			j := jobs[s.VisitID]
			count[s.VisitID]++
			v := &j.Visit
			if !c.Has(v.Skill) || p.Day < v.Window.Earliest || s.Work != v.Minutes {
				t.Errorf("visit %d: wrong crew, day or minutes", v.ID)
			}
			if load > 0 && v.ChipsL > 0 && j.Sanitation != flag {
				t.Errorf("visit %d: wood of rules %q and %q on one truck", v.ID, flag, j.Sanitation)
			}
			if load += v.ChipsL; load > c.TruckL {
				t.Errorf("visit %d: %d l on a truck of %d", v.ID, load, c.TruckL)
			}
			if v.ChipsL > 0 {
				flag = j.Sanitation
			}
			m.Work += s.Work
		}
	}
	if load > 0 && len(dumps) > 0 {
		t.Errorf("crew %d on %s comes home with %d l", p.CrewID, p.Day, load)
	}
	if m.Drive > p.Minutes.Drive {
		t.Errorf("crew %d on %s: %d minutes of driving to the stops, %d in all", p.CrewID, p.Day, m.Drive, p.Minutes.Drive)
	}
	m.Drive = p.Minutes.Drive // the way home is no stop
	m.Slack = c.ShiftMin - m.Paid()
	if m != p.Minutes || m.Slack < 0 || m.Break != c.BreakMin {
		t.Errorf("crew %d on %s: minutes %+v, the stops add up to %+v", p.CrewID, p.Day, p.Minutes, m)
	}
}
