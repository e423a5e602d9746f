package due

import (
	"fmt"

	"limbround/scheduler"
)

// linden: a littleleaf linden in the sight triangle of a corner.
func linden() story {
	return story{
		name: "littleleaf_linden_corner", preset: "northeast", edit: stageIntervals(3, 3, 4, 4),
		tree: func() scheduler.Tree { return plantedOn("TICO", "2026-11-10") },
		site: func() scheduler.Site {
			s := street()
			s.InSight, s.ToJunction, s.SpeedKmh = true, 9000, 48
			return s
		},
		began: "2026-11-10", today: "2026-11-12", years: 21,
		claims: func() []storyClaim {
			return []storyClaim{
				yearly("basal sprouts, every June", scheduler.BasalSprouts, 1, 20).but("ten years from planting is the policy's figure (sprout_years); a city with lindens sets more"),
				yearly("sight check, in leaf every year", scheduler.SightClearance, 1, 8),
				sizeAt(3, 6.9, 4.7, 1.9),
				visitAt(3, scheduler.Training),
				says(3, "the band that stays open", "reduce the triangle side only", "triangle side only", "0.76 m", "2.44 m"),
				says(3, "the band that stays open", "no temporary branches there", "no temporary branches"),
				sizeAt(6, 10.9, 5.8, 2.3),
				visitAt(6, scheduler.Training),
				says(8, "the band that stays open", "all round to 2.44 m", "raise all round", "2.44 m"),
				sizeAt(12, 18.3, 7.6, 3.0),
				wholeSeasons(),
				visitAt(12).but("the leader stage goes on to t9, 3 seasons from visit to visit; 4 seasons of temporaries follow, to t13"),
				visitAt(16).but("4 seasons after t13"),
				pruningVisits(3, 20, 6, 6).but("from t9 on 4 seasons from visit to visit: the sixth comes at t21"),
				sizeAt(20, 27.1, 9.5, 3.8),
				visitAt(20).but("4 seasons after t17"),
			}
		},
	}
}

// yearly: a visit of the kind in every year from one to another, in leaf.
func yearly(what string, kind scheduler.WorkKind, from, to int) storyClaim {
	return storyClaim{t: -1, what: what, hand: fmt.Sprintf("each year from t%d to t%d", from, to), got: func(r *storyRun) (string, bool) {
		n, want := 0, 0
		for y := from; y <= to; y++ {
			want++
			year := r.began.Year() + y
			found := false
			for i := range r.steps {
				st := &r.steps[i]
				if st.visit != nil && hasAny(st.visit, []scheduler.WorkKind{kind}) && st.on.Year() == year && st.on.Month() >= 4 && st.on.Month() <= 10 {
					found = true
				}
			}
			if found {
				n++
			}
		}
		return fmt.Sprintf("in %d of %d years", n, want), n == want
	}}
}

// wholeSeasons: pruning is due in a season, not on a day.
func wholeSeasons() storyClaim {
	return storyClaim{t: -1, what: "pruning is due", hand: "in a season, not on a day", got: func(r *storyRun) (string, bool) {
		for i := range r.steps {
			v := r.steps[i].visit
			if v != nil && v.Class > 2 && hasAny(v, pruningKinds) && v.Window.Latest < v.Window.Due+14 {
				return fmt.Sprintf("t%.1f %s: %s", r.t(r.steps[i].on), words(v.Kinds), v.Season), false
			}
		}
		return "always", true
	}}
}
