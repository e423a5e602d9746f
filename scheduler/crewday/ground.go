package crewday

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"limbround/geo/road"
	"limbround/scheduler"
	"limbround/scheduler/route"
)

// The due trees of one block face are one place for the truck: it stands at the
// middle tree and moves along with the crew, which walks from tree to tree. So
// the travel table has a row for each face, not for each tree, and keeps the
// triangle inequality. A tree without a face is a place of its own.

// WalkPace is the speed between trees of one face, with tools and cones to
// carry, in metres per second (from memory).
const WalkPace = 1.2

// ground is where everything lies: places are depots, then dumps, then faces.
type ground struct {
	depot   map[int64]int
	dump    []int // place of each of the request's dumps, -1 when no street serves it
	place   []int // of each job of build.jobs
	group   []int
	pos     []int // seconds along the face
	places  []road.Position
	travel  []route.Travel
	profile map[road.Truck]int
}

// faceKey is what makes a place.
type faceKey struct{ face, site int64 }

func newGround(ctx context.Context, b *build) (ground, error) {
	g := ground{depot: map[int64]int{}, profile: map[road.Truck]int{}}
	if b.r.Graph == nil || b.r.Graph.Blocks() == 0 {
		for _, i := range b.jobs {
			b.leaveOut(i, "street not reachable: no streets are imported")
		}
		b.jobs = nil
		return g, nil
	}
	g.yards(b)
	g.faces(b)
	return g, g.tables(ctx, b)
}

// yards places depots and dumps on their streets.
func (g *ground) yards(b *build) {
	for _, d := range b.r.Depots {
		p, ok := b.r.Graph.Snap(d.Position)
		if !ok {
			b.fleet.drop(fmt.Sprintf("yard %s is not within %d m of a street", d.Name, int(road.SnapReach)),
				func(s slot) bool { return s.crew.DepotID == d.ID })
			continue
		}
		g.depot[d.ID] = len(g.places)
		g.places = append(g.places, p)
	}
	for _, d := range b.r.Dumps {
		at := -1
		if p, ok := b.r.Graph.Snap(d.Position); ok {
			at = len(g.places)
			g.places = append(g.places, p)
		}
		g.dump = append(g.dump, at)
	}
}

// faces places the jobs and leaves out those that no street serves.
func (g *ground) faces(b *build) {
	type spot struct {
		job int
		at  road.Position
	}
	on := map[faceKey][]spot{}
	var order []faceKey
	kept := b.jobs[:0]
	for _, i := range b.jobs {
		j := &b.r.Jobs[i]
		at, ok := snap(b.r.Graph, j)
		if !ok {
			b.leaveOut(i, "street not reachable: none within %d m of the tree", int(road.SnapReach))
			continue
		}
		kept = append(kept, i)
		key := faceKey{face: j.Site.FaceID}
		if key.face == 0 || b.r.Graph.Street(at) != j.Site.StreetID {
			key = faceKey{site: j.Site.ID}
		}
		if on[key] == nil {
			order = append(order, key)
		}
		on[key] = append(on[key], spot{len(kept) - 1, at})
	}
	b.jobs = kept
	g.place, g.group, g.pos = make([]int, len(kept)), make([]int, len(kept)), make([]int, len(kept))
	for n, key := range order {
		spots := on[key]
		slices.SortStableFunc(spots, func(x, y spot) int { return cmp.Compare(x.at.Along(), y.at.Along()) })
		last := len(spots) - 1
		forward := b.r.Graph.Forward(spots[0].at)
		for _, s := range spots {
			m := s.at.Along() - spots[0].at.Along()
			if !forward {
				m = spots[last].at.Along() - s.at.Along()
			}
			g.place[s.job], g.group[s.job], g.pos[s.job] = len(g.places), n, int(m/WalkPace)
		}
		g.places = append(g.places, spots[len(spots)/2].at)
	}
}

// snap places a tree on the block that its site names, or on the nearest.
func snap(g *road.Graph, j *Job) (road.Position, bool) {
	side := road.NoSide
	switch j.Site.StreetSide {
	case scheduler.SideLeft:
		side = road.Left
	case scheduler.SideRight:
		side = road.Right
	}
	if p, ok := g.At(j.Site.StreetID, j.Site.Position, j.Along, side); ok {
		return p, true
	}
	return g.Snap(j.Site.Position)
}

// tables works out the travel times once for each sort of truck.
func (g *ground) tables(ctx context.Context, b *build) error {
	for _, s := range b.fleet.slots {
		t := truck(b.r.Graph, s.crew)
		if _, ok := g.profile[t]; ok {
			continue
		}
		sec, err := b.r.Graph.Table(ctx, g.places, g.places, t)
		if err != nil {
			return err
		}
		for i, s := range sec {
			if s == road.Unreachable {
				sec[i] = route.Unreachable
			}
		}
		g.profile[t] = len(g.travel)
		g.travel = append(g.travel, route.Matrix{N: len(g.places), Sec: sec})
	}
	return nil
}

// truck is what the crew's truck needs of a street; trucks that may use the same
// streets are alike.
func truck(g *road.Graph, c *scheduler.Crew) road.Truck {
	if !g.Limited() {
		return road.Truck{}
	}
	return g.Sort(road.Truck{Height: max(c.TruckHeight, 0), WeightKg: c.TruckKg})
}
