package jobs

import (
	"context"
	"math"
	"time"

	"limbround/geo/road"
	"limbround/scheduler"
	"limbround/scheduler/crewday"
)

// EditStore holds a packet and what its day is timed by.
type EditStore interface {
	RuleStore
	PackGround
	Packet(ctx context.Context, id int64) (scheduler.Packet, error)
	Visit(ctx context.Context, id int64) (scheduler.Visit, error)
	Tree(ctx context.Context, id int64) (scheduler.TreeSite, error)
	// EditPacket MUST refuse another revision than the given one, and store what decide made of the packet.
	EditPacket(ctx context.Context, id int64, revision int, decide func(*scheduler.Packet) error, by scheduler.Stamp) (scheduler.Packet, error)
}

// EditPacket changes one stop of a packet and times its day again.
type EditPacket struct {
	Store EditStore
	Now   func() time.Time
}

// EditRequest names the packet as it was seen, the stop, and the change.
type EditRequest struct {
	Packet   int64
	Revision int
	Stop     int64
	Edit     scheduler.StopEdit
	By       scheduler.Stamp
}

// Run makes the change, or fails as StopEdit.Apply does; a packet that somebody
// else changed meanwhile is Stale.
func (e EditPacket) Run(ctx context.Context, q EditRequest) (scheduler.Packet, error) {
	p, err := e.Store.Packet(ctx, q.Packet)
	if err != nil {
		return p, err
	}
	if p.Revision != q.Revision { // the store says so for certain; this saves the work
		return p, scheduler.Errorf(scheduler.Stale, "packet %d was changed since you read it", p.ID)
	}
	var leg scheduler.Leg
	if q.Edit.Remove || q.Edit.To != 0 {
		day, err := e.timing(ctx, &p)
		if err != nil {
			return p, err
		}
		leg = day.leg
	}
	return e.Store.EditPacket(ctx, q.Packet, q.Revision, func(p *scheduler.Packet) error {
		return q.Edit.Apply(p, q.Stop, leg)
	}, q.By)
}

// timing is what the legs of one packet take: a table between its places.
type timing struct {
	place map[int64]int // row of each stop by id; row 0 is the yard
	visit map[int64]scheduler.Visit
	site  map[int64]scheduler.Site
	table []int32 // seconds, road.Unreachable for no way
	n     int
	work  *scheduler.WorkRules
}

func (e EditPacket) timing(ctx context.Context, p *scheduler.Packet) (*timing, error) {
	today, err := Today(ctx, e.Store, e.Now())
	if err != nil {
		return nil, err
	}
	policy, err := e.Store.CurrentPolicy(ctx, today)
	if err != nil {
		return nil, err
	}
	streets, err := e.Store.Streets(ctx)
	if err != nil {
		return nil, err
	}
	g := road.New(roadStreets(streets))
	t := &timing{place: map[int64]int{}, visit: map[int64]scheduler.Visit{}, site: map[int64]scheduler.Site{}, work: &policy.Work}
	places, err := e.yard(ctx, g, p.CrewID)
	if err != nil {
		return nil, err
	}
	dumps, err := e.Store.Dumps(ctx)
	if err != nil {
		return nil, err
	}
	for i := range p.Stops {
		s := &p.Stops[i]
		at, ok, err := e.position(ctx, g, s, dumps, t)
		if err != nil {
			return nil, err
		}
		if ok {
			t.place[s.ID] = len(places)
			places = append(places, at)
		}
	}
	t.n = len(places)
	t.table, err = g.Table(ctx, places, places, road.Truck{})
	return t, err
}

// yard is the position of the crew's depot.
func (e EditPacket) yard(ctx context.Context, g *road.Graph, crew int64) ([]road.Position, error) {
	crews, err := e.Store.Crews(ctx)
	if err != nil {
		return nil, err
	}
	depots, err := e.Store.Depots(ctx)
	if err != nil {
		return nil, err
	}
	for i := range crews {
		for j := range depots {
			if crews[i].ID == crew && depots[j].ID == crews[i].DepotID {
				if at, ok := g.Snap(depots[j].Position); ok {
					return []road.Position{at}, nil
				}
			}
		}
	}
	return nil, scheduler.Errorf(scheduler.Infeasible, "the yard of crew %d is not near a street", crew)
}

// position is where a stop is; ok is false for a break, which is wherever the crew is.
func (e EditPacket) position(ctx context.Context, g *road.Graph, s *scheduler.Stop, dumps []scheduler.Dump, t *timing) (at road.Position, ok bool, err error) {
	switch s.Kind {
	case scheduler.StopDump:
		for i := range dumps {
			if dumps[i].ID == s.DumpID {
				at, ok = g.Snap(dumps[i].Position)
			}
		}
	case scheduler.StopTree:
		v, err := e.Store.Visit(ctx, s.VisitID)
		if err != nil {
			return at, false, err
		}
		ts, err := e.Store.Tree(ctx, v.TreeID)
		if err != nil {
			return at, false, err
		}
		t.visit[s.ID], t.site[s.ID] = v, ts.Site
		at, ok = g.Snap(ts.Site.Position)
	default:
		return at, false, nil
	}
	if !ok {
		err = scheduler.Errorf(scheduler.Infeasible, "stop %d is not near a street", s.Seq)
	}
	return at, ok, err
}

// leg is the drive to the next stop and the traffic set-up paid there. Trees of
// one block face are walked between, and share one set-up.
func (t *timing) leg(prev, next *scheduler.Stop) (drive, setUp int) {
	from, to := t.row(prev), t.row(next)
	if from < 0 || to < 0 { // a break: no way of its own
		return 0, 0
	}
	if next != nil && next.Kind == scheduler.StopTree {
		v, site := t.visit[next.ID], t.site[next.ID]
		if prev != nil && prev.Kind == scheduler.StopTree && site.FaceID != 0 && t.site[prev.ID].FaceID == site.FaceID {
			m := t.site[prev.ID].Position.Distance(site.Position)
			return int(math.Ceil(m / crewday.WalkPace / 60)), 0
		}
		setUp = t.work.SetUpFor(&v, site.StreetClass)
	}
	seconds := t.table[from*t.n+to]
	if seconds == road.Unreachable {
		return math.MaxInt16, setUp // no way there: the day cannot fit
	}
	return int(math.Ceil(float64(seconds) / 60)), setUp
}

func (t *timing) row(s *scheduler.Stop) int {
	if s == nil {
		return 0
	}
	if row, ok := t.place[s.ID]; ok {
		return row
	}
	return -1
}
