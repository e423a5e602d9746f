package city

import (
	"fmt"
	"iter"

	"limbround/geo"
	"limbround/scheduler"
)

// Stand is one row of the trees and the past visits to it. A planted duplicate
// is a Stand of its own.
type Stand struct {
	Tree    Entry
	History []Entry

	at   geo.Point // local
	life life
}

// treeValues are the fields of a tree; zero values are empty fields.
type treeValues struct {
	ref, species, state, owner, address, planted string
	caliper, dbh, height, crown                  geo.Length
	measured                                     scheduler.Date
	baseRoad, baseWalk                           geo.Length
	stems                                        int64
	stage, vigour                                string
}

// values are in the order of the trees layer.
func (v *treeValues) values() []any {
	length := func(l geo.Length) any {
		if l <= 0 {
			return nil
		}
		return l
	}
	var measured, stems any
	if !v.measured.IsZero() {
		measured = v.measured
	}
	if v.stems > 0 {
		stems = v.stems
	}
	return []any{
		v.ref, orNil(v.species), v.state, v.owner, orNil(v.address), orNil(v.planted), nil, length(v.caliper),
		length(v.dbh), length(v.height), length(v.crown), measured, length(v.baseRoad), length(v.baseWalk),
		stems, orNil(v.stage), orNil(v.vigour),
	}
}

// Trees makes every tree with its past, block by block, the hand-made one
// first. Rows of both layers are numbered in the order in which they come.
func (c *City) Trees() iter.Seq[Stand] {
	return func(yield func(Stand) bool) {
		trees, visits := 0, 0
		emit := func(s Stand) bool {
			trees++
			s.Tree = s.Tree.at("trees", trees)
			for i := range s.History {
				visits++
				s.History[i] = s.History[i].at("history", visits)
				if s.History[i].Row.Values[0] == nil {
					s.History[i].Row.Values[0] = fmt.Sprintf("H%07d", visits)
				}
			}
			return yield(s)
		}
		mess := c.newMess()
		if !emit(c.handMade()) {
			return
		}
		n := 1
		for i := range c.streets {
			for _, s := range c.block(i, &n) {
				for _, s := range mess.spoil(s) {
					if !emit(s) {
						return
					}
				}
			}
		}
	}
}

// block makes the trees of one block and moves the count of refs on.
func (c *City) block(i int, n *int) []Stand {
	if c.plots[i] == 0 {
		return nil
	}
	spots := c.places(i)
	r := draw(c.req.Seed, streamTree, i)
	keep := choose(r, len(spots), c.plots[i])
	state := c.streets[i].Class == scheduler.Arterial && draw(c.req.Seed, streamTree, 1<<40+c.streets[i].key).Float64() < 0.15
	var out []Stand
	for _, spot := range spots {
		if !keep() {
			continue
		}
		*n++
		owner := scheduler.OwnerCity
		u := r.Float64()
		switch {
		case state:
			owner = scheduler.OwnerStateRoad
		case u < 0.03:
			owner = scheduler.OwnerPrivate
		case u < 0.034:
			owner = scheduler.OwnerShared
		case u < 0.037:
			owner = scheduler.OwnerUtility
		}
		out = append(out, c.tree(fmt.Sprintf("PL-%06d", *n), i, spot, owner))
	}
	return out
}

// handMade is the tree of the documentation: a crabapple with two stems and a
// weak union by the bus lane, planted seven years ago and never pruned.
func (c *City) handMade() Stand {
	spot := c.special.place
	today := c.req.Today
	planted := scheduler.NewDate(today.Year()-7, 4, 12)
	if planted.YearsTo(today) < 6.9 {
		planted = planted.AddYears(-1)
	}
	v := treeValues{
		ref: HandMade, species: "Malus spp.", state: "alive", owner: string(scheduler.OwnerCity),
		address: c.streets[c.special.block].address(spot.at, spot.onLeft),
		planted: planted.String(), caliper: 38, dbh: 106, height: 4100, crown: 3600,
		measured: today.AddDays(-24), baseRoad: 1600, baseWalk: 1600, stems: 2,
	}
	return Stand{
		Tree: Entry{Row: scheduler.Row{Values: v.values(), Shape: geo.NewPoint(4326, c.lonLat(spot.p))}},
		at:   spot.p,
	}
}
