package jobs

import (
	"context"
	"fmt"
	"slices"
	"time"

	"limbround/geo"
	"limbround/scheduler"
	"limbround/scheduler/crewday/sheet"
)

// SheetStore holds what is printed with a packet.
type SheetStore interface {
	RuleStore
	PackGround
	Packet(ctx context.Context, id int64) (scheduler.Packet, error)
	Visit(ctx context.Context, id int64) (scheduler.Visit, error)
	Tree(ctx context.Context, id int64) (scheduler.TreeSite, error)
}

// Sheet gathers what is printed for one packet.
type Sheet struct {
	Store SheetStore
	Now   func() time.Time
}

// Run gathers packet id; cards is the address prefix behind the codes on the cards.
func (s Sheet) Run(ctx context.Context, id int64, cards string) (sheet.Packet, error) {
	var out sheet.Packet
	p, err := s.Store.Packet(ctx, id)
	if err != nil {
		return out, err
	}
	r, err := loadRules(ctx, s.Store, s.Now(), 0)
	if err != nil {
		return out, err
	}
	out = sheet.Packet{
		Packet: p, Dumps: map[int64]string{}, CardURL: cards, Printed: r.today,
		Season: r.policy.Seasons.LeafOn.DoseSeason(p.Day),
		Policy: fmt.Sprintf("%s, effective %s", r.policy.Name, r.policy.Effective),
	}
	if out.City, err = s.Store.City(ctx); err != nil {
		return out, err
	}
	if err := s.places(ctx, &out); err != nil {
		return out, err
	}
	if err := s.cards(ctx, &out, &r); err != nil {
		return out, err
	}
	return out, s.streets(ctx, &out)
}

func (s Sheet) places(ctx context.Context, out *sheet.Packet) error {
	crews, err := s.Store.Crews(ctx)
	if err != nil {
		return err
	}
	i := slices.IndexFunc(crews, func(c scheduler.Crew) bool { return c.ID == out.Packet.CrewID })
	if i < 0 {
		return scheduler.Errorf(scheduler.Internal, "packet %d: its crew %d is not there", out.Packet.ID, out.Packet.CrewID)
	}
	out.Crew = crews[i]
	depots, err := s.Store.Depots(ctx)
	if err != nil {
		return err
	}
	for _, d := range depots {
		if d.ID == out.Crew.DepotID {
			out.Depot, out.Start = d.Name, d.Position
		}
	}
	dumps, err := s.Store.Dumps(ctx)
	for _, d := range dumps {
		out.Dumps[d.ID] = d.Name
	}
	return err
}

func (s Sheet) cards(ctx context.Context, out *sheet.Packet, r *rules) error {
	for _, stop := range out.Packet.Stops {
		if stop.Kind != scheduler.StopTree {
			continue
		}
		v, err := s.Store.Visit(ctx, stop.VisitID)
		if err != nil {
			return err
		}
		ts, err := s.Store.Tree(ctx, v.TreeID)
		if err != nil {
			return err
		}
		out.Cards = append(out.Cards, sheet.Card{
			Stop: stop, Visit: v, Tree: ts.Tree, Site: ts.Site, Species: r.species[ts.Tree.Species],
			Work: stop.SetUp + stop.Work, Walk: r.policy.Clearance.Walk, Road: roadHeight(&r.policy, &ts.Site),
		})
	}
	return nil
}

// roadHeight is the height rule over the lane on the tree's side.
func roadHeight(p *scheduler.Policy, site *scheduler.Site) scheduler.HeightRule {
	for _, road := range p.Clearance.Roads {
		if road.Class != site.StreetClass {
			continue
		}
		over, _ := road.OverLane(site)
		return over
	}
	return scheduler.HeightRule{Legal: geo.None, ActAt: geo.None, ClearTo: geo.None}
}

// mapMargin is how far from a stop a street is still drawn, in metres.
const mapMargin = 400

// streets keeps those blocks that lie near a stop: the rest of the city would
// only be cut off by the frame.
func (s Sheet) streets(ctx context.Context, out *sheet.Packet) error {
	all, err := s.Store.Streets(ctx)
	if err != nil {
		return err
	}
	box, any := bounds(out.Cards)
	if !any {
		return nil
	}
	for _, st := range all {
		if slices.ContainsFunc(st.Line, box.holds) {
			out.Streets = append(out.Streets, sheet.Street{Name: st.Name, Main: st.Class == scheduler.Arterial || st.Class == scheduler.Collector, Line: st.Line})
		}
	}
	return nil
}

type box struct{ min, max geo.Point }

func (b box) holds(p geo.Point) bool {
	return p.X >= b.min.X && p.X <= b.max.X && p.Y >= b.min.Y && p.Y <= b.max.Y
}

func bounds(cards []sheet.Card) (b box, any bool) {
	for i := range cards {
		p := cards[i].Site.Position
		if !p.Valid() {
			continue
		}
		lo, hi := geo.Point{X: p.X - mapMargin, Y: p.Y - mapMargin}, geo.Point{X: p.X + mapMargin, Y: p.Y + mapMargin}
		if !any {
			b, any = box{lo, hi}, true
			continue
		}
		b.min = geo.Point{X: min(b.min.X, lo.X), Y: min(b.min.Y, lo.Y)}
		b.max = geo.Point{X: max(b.max.X, hi.X), Y: max(b.max.Y, hi.Y)}
	}
	return b, any
}
