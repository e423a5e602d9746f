package jobs

import (
	"context"
	"fmt"
	"time"

	"limbround/geo/road"
	"limbround/scheduler"
	"limbround/scheduler/crewday"
)

// PackStore keeps what packets are built from, and the packets.
type PackStore interface {
	RuleStore
	PackGround
	// PlanInForce MUST answer NotFound for a year without a plan.
	PlanInForce(ctx context.Context, year int) (scheduler.Plan, error)
	PackInput(ctx context.Context, plan int64, from, to scheduler.Date, replace bool) (scheduler.PackInput, error)
	// SavePackets MUST be all or none, and refuse a visit that is in a live packet.
	SavePackets(ctx context.Context, packets []scheduler.Packet, from, to scheduler.Date, replace bool, by scheduler.Stamp) ([]scheduler.Packet, error)
}

// PackGround is who drives, and the ground they drive on.
type PackGround interface {
	Crews(ctx context.Context) ([]scheduler.Crew, error)
	Depots(ctx context.Context) ([]scheduler.Depot, error)
	Dumps(ctx context.Context) ([]scheduler.Dump, error)
	Streets(ctx context.Context) ([]scheduler.Street, error)
}

// Pack builds crew-day packets from the plan's weeks and from urgent work.
type Pack struct {
	Store    PackStore
	Now      func() time.Time
	Progress Tell // the step it is at; may be nil
}

// PackRequest says for which days.
type PackRequest struct {
	From       scheduler.Date
	Days       int           // calendar days from From, 1 to 28
	Replace    bool          // drafts of those days that hold no locked stop are built anew
	Seed       int64         // the same seed and rounds give the same packets
	Iterations int           // rounds of improvement; 0 for as many as the number of visits asks for
	Limit      time.Duration // longest search; 0 for 30 s, and more for thousands of visits
	Actor      string
}

// PackResult is what was built.
type PackResult struct {
	Packets  int                  `json:"packets"`
	Stops    int                  `json:"stops"` // trees
	IDs      []int64              `json:"packet_ids"`
	Plan     int64                `json:"plan"` // 0 when the year has none: urgent work alone was packed
	Unserved []scheduler.Unserved `json:"unserved"`
	Idle     []crewday.Idle       `json:"idle"`
	Minutes  scheduler.Minutes    `json:"minutes"`
	Bound    int                  `json:"bound_minutes"`
	Seconds  float64              `json:"seconds"`
}

const (
	packLimit    = 30 * time.Second
	packEach     = 20 * time.Millisecond // a visit, in a week of thousands
	maxPackDays  = 28
	packPlanYear = 3 // days from Monday to the Thursday whose year a week belongs to
)

// Run builds and stores the packets as drafts. Every visit that came into
// question is in a packet or in Unserved with the constraint that stops it.
func (p Pack) Run(ctx context.Context, q PackRequest) (PackResult, error) {
	began := p.Now()
	out := PackResult{IDs: []int64{}, Unserved: []scheduler.Unserved{}, Idle: []crewday.Idle{}}
	r, err := loadRules(ctx, p.Store, began, 0)
	if err != nil {
		return out, err
	}
	switch {
	case q.Days < 1 || q.Days > maxPackDays:
		return out, scheduler.Errorf(scheduler.Invalid, "days %d: want 1 to %d", q.Days, maxPackDays)
	case q.From < r.today:
		return out, scheduler.Errorf(scheduler.Invalid, "from %s: the day is over, today is %s", q.From, r.today)
	}
	p.Progress.say(0, 3, "reads visits, crews and streets")
	to := q.From.AddDays(q.Days - 1)
	plan, err := p.Store.PlanInForce(ctx, q.From.Monday().AddDays(packPlanYear).Year())
	if err != nil && scheduler.KindOf(err) != scheduler.NotFound {
		return out, err
	}
	out.Plan = plan.ID
	in, err := p.Store.PackInput(ctx, plan.ID, q.From, to, q.Replace)
	if err != nil {
		return out, err
	}
	request, err := p.request(ctx, &r, &q, &in)
	if err != nil {
		return out, err
	}
	if request.Limit = q.Limit; q.Limit <= 0 {
		request.Limit = max(packLimit, time.Duration(len(request.Jobs))*packEach)
	}
	p.Progress.say(1, 3, fmt.Sprintf("builds %d days from %d visits", q.Days, len(request.Jobs)))
	built, err := crewday.Build(ctx, request)
	if err != nil {
		return out, err
	}
	p.Progress.say(2, 3, fmt.Sprintf("stores %d packets", len(built.Packets)))
	saved, err := p.Store.SavePackets(ctx, built.Packets, q.From, to, q.Replace, scheduler.Stamp{Actor: q.Actor, At: began})
	if err != nil {
		return out, err
	}
	for i := range saved {
		out.IDs = append(out.IDs, saved[i].ID)
		for j := range saved[i].Stops {
			if saved[i].Stops[j].Kind == scheduler.StopTree {
				out.Stops++
			}
		}
	}
	out.Packets, out.Minutes, out.Bound = len(saved), built.Minutes, built.Bound
	out.Unserved = append(out.Unserved, built.Unserved...)
	out.Idle = append(out.Idle, built.Idle...)
	out.Seconds = p.Now().Sub(began).Seconds()
	return out, nil
}

func (p Pack) request(ctx context.Context, r *rules, q *PackRequest, in *scheduler.PackInput) (crewday.Request, error) {
	out := crewday.Request{
		Work: r.policy.Work, Seasons: r.policy.Seasons, Busy: in.Busy, Seed: q.Seed, Iterations: q.Iterations, Now: p.Now,
	}
	if out.Iterations == 0 {
		out.Iterations = rounds(len(in.Items))
	}
	for d := range q.Days {
		out.Days = append(out.Days, q.From.AddDays(d))
	}
	var err error
	if out.Crews, err = p.Store.Crews(ctx); err != nil {
		return out, err
	}
	if out.Depots, err = p.Store.Depots(ctx); err != nil {
		return out, err
	}
	if out.Dumps, err = p.Store.Dumps(ctx); err != nil {
		return out, err
	}
	streets, err := p.Store.Streets(ctx)
	if err != nil {
		return out, err
	}
	out.Graph = road.New(roadStreets(streets))
	out.Jobs = make([]crewday.Job, len(in.Items))
	for i := range in.Items {
		it := &in.Items[i]
		out.Jobs[i] = crewday.Job{
			Visit: it.Visit, Site: it.Site, Along: it.Along, Group: r.species[it.Species].ClosedGroup, Sanitation: it.Sanitation,
		}
	}
	return out, nil
}

// rounds is how long to improve the packets for a number of visits: a handful
// is done at once, and the same visits give the same packets, unless a large
// week runs into the limit.
func rounds(visits int) int { return min(200_000, 5_000+100*visits) }

// roadStreets are the city's blocks as the street graph takes them.
func roadStreets(streets []scheduler.Street) []road.Street {
	out := make([]road.Street, len(streets))
	for i := range streets {
		s := &streets[i]
		out[i] = road.Street{
			ID: s.ID, Line: s.Line, Class: road.Class(s.Class), OneWay: road.OneWay(s.OneWay), SpeedKmh: s.SpeedKmh,
			MaxHeight: s.MaxHeight, MaxWeightKg: s.MaxWeightKg, Bridge: s.Bridge,
		}
	}
	return out
}
