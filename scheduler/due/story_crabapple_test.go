package due

import (
	"fmt"

	"limbround/geo"
	"limbround/scheduler"
)

// lookedAtAll makes a city that sees all its trees within a year.
func lookedAtAll(p *scheduler.Policy) { p.FirstLook.Years = 1 }

// twoTops is the record of the first visit to a tree with two tops and a weak union.
func twoTops() storyEvent {
	return storyEvent{
		of: scheduler.FirstLook, on: "2027-02-01",
		what: "First look: two tops of 70 and 56 mm with included bark; crossing and union-pressing branches out, the smaller top reduced by half, stopped at the dose.",
		record: &scheduler.WorkRecord{
			Kinds: []scheduler.WorkKind{scheduler.FirstLook, scheduler.Training, scheduler.RoadClearance}, LiveCrown: 25, DBH: 106, Height: 4100,
			BaseRoad: 1500, BaseWalk: 1600, Stage: scheduler.StageLeader,
			Watch: []scheduler.WatchFinding{{
				What: "competing top", Height: 1900, Side: scheduler.SideRoad, Diameter: 56, StemDiameter: 70, IncludedBark: true,
				Done: "reduced by half", Reduced: true, Intent: scheduler.HoldTier,
			}},
		},
	}
}

func twoTopsOn(name, species string, claims func() []storyClaim) story {
	return story{
		name: name, preset: "lower-midwest", edit: lookedAtAll,
		tree: func() scheduler.Tree {
			t := plantedOn(species, "2020-02-05")
			t.Stage = scheduler.StageUnknown
			return t
		},
		site: func() scheduler.Site {
			s := street()
			s.BusRoute, s.StreetClass = true, scheduler.Collector
			return s
		},
		began: "2020-02-05", today: "2027-01-10", years: 14,
		events: []storyEvent{twoTops()},
		claims: claims,
	}
}

// crabapple: two tops, a weak union and a bus lane at the curb, first seen seven years after planting.
func crabapple() story {
	return twoTopsOn("crabapple_two_tops_bus_lane", "MALUS", func() []storyClaim {
		return []storyClaim{
			visitAt(7, scheduler.FirstLook),
			sizeAt(7, 10.6, 4.1, 1.6),
			says(7, "crossing and union-pressing branches", "out", "crossing").but("the plan of a first look does not know what will be found; from t10 on the objectives of a small tree name them"),
			says(7, "live crown", "stop at the dose", "stop there"),
			stemRatio(7, "A", 0.8),
			sizeAt(10, 14.0, 4.7, 1.9),
			visitAt(10, scheduler.Training),
			says(10, "the held top", "re-reduced", "reduce again", "included bark"),
			says(10, "ends", "lightened", "lighten the ends"),
			says(10, "lane side", "again behind the curb", "road side", "curb line"),
			sizeAt(13, 17.5, 5.3, 2.1),
			visitAt(13, scheduler.Training),
			says(13, "the held top", "re-reduced", "reduce again", "included bark"),
			says(13, "lane side", "again behind the curb", "road side", "curb line"),
			sizeAt(17, 22.1, 6.2, 2.5),
			visitAt(17, scheduler.Training).but("the tree never allows the walk height before t17, so it stays in the leader stage, every 3 seasons: t13, t16"),
			baseReaches(17, geo.Feet(8), 0.5),
			sizeAt(20, 25.6, 6.8, 2.7),
			visitAt(20, scheduler.Training).but("3 seasons after t16"),
			everySays("14 ft", "not reachable by raising; listed for replacement", scheduler.Training, "not reachable by raising", "replacement"),
			pruningVisits(10, 20, 4, 4),
			neverSmallAgain("A"),
		}
	})
}

// pearWithTwoTops is the same tree and first visit as a callery pear.
func pearWithTwoTops() story {
	return twoTopsOn("callery_pear_two_tops_bus_lane", "PYCA", func() []storyClaim {
		return []storyClaim{
			says(10, "the held top", "re-reduced", "reduce again", "included bark"),
			says(13, "the held top", "re-reduced", "reduce again", "included bark"),
			says(10, "ice", "rated high", "ice", "high"),
			neverSmallAgain("A"),
		}
	})
}

// itemOn is a watch item as it was known on a day, and the draft to project it with.
func (r *storyRun) itemOn(letter string, on scheduler.Date) (*draft, *scheduler.WatchItem) {
	d := r.draftOn(on)
	for i := range d.t.Watch {
		if w := &d.t.Watch[i]; w.Letter == letter {
			return d, w
		}
	}
	return d, nil
}

// stemRatio: a watched stem's diameter over its parent's.
func stemRatio(t float64, letter string, ratio float64) storyClaim {
	return figureAt(t, "ratio of stem "+letter, ratio, 0.02, "", func(r *storyRun) (float64, bool) {
		_, w := r.itemOn(letter, r.day(t+0.1))
		if w == nil {
			return 0, false
		}
		return w.AspectRatio(), true
	})
}

// neverSmallAgain: the cut that takes a held stem never becomes a small one.
func neverSmallAgain(letter string) storyClaim {
	return storyClaim{t: -1, what: "the cut that takes " + letter, hand: "never gets small again", got: func(r *storyRun) (string, bool) {
		for i := range r.steps {
			on := r.steps[i].on + 1
			d, w := r.itemOn(letter, on)
			if w == nil {
				continue
			}
			if s := d.branchAt(w, on); s.branch <= float64(d.p.cutMax) && s.ratio() <= r.e.policy.Training.SmallRatio {
				return fmt.Sprintf("small at t%.1f: %.0f mm, ratio %.2f", r.t(on), s.branch, s.ratio()), false
			}
		}
		last := r.steps[len(r.steps)-1].on
		d, w := r.itemOn(letter, last)
		if w == nil {
			return "no such stem", false
		}
		s := d.branchAt(w, last)
		return fmt.Sprintf("%.0f mm of %.0f mm at t%.1f, never small before", s.branch, s.stem, r.t(last)), true
	}}
}
