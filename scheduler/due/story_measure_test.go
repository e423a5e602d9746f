package due

import (
	"fmt"
	"math"
	"strings"

	"limbround/geo"
	"limbround/scheduler"
)

// Claims about figures: when, how high, how much.

// figureAt: a figure with a tolerance.
func figureAt(t float64, what string, hand, tolerance float64, unit string, read func(*storyRun) (float64, bool)) storyClaim {
	return storyClaim{t: t, what: what, hand: fmt.Sprintf("%g%s", hand, unit), got: func(r *storyRun) (string, bool) {
		v, ok := read(r)
		if !ok {
			return "none", false
		}
		return fmt.Sprintf("%.2f%s", v, unit), math.Abs(v-hand) <= tolerance
	}}
}

// firstTime is the first time, by months, at which something holds of the tree
// as it was known when the story came there.
func firstTime(r *storyRun, from float64, holds func(d *draft, on scheduler.Date) bool) (float64, bool) {
	for m := int(from * 12); m <= 60*12; m++ {
		on := addMonths(r.began, m)
		if holds(r.draftOn(on), on) {
			return float64(m) / 12, true
		}
	}
	return 0, false
}

// baseReaches: when the least live crown first allows a base of the height.
func baseReaches(t float64, h geo.Length, tolerance float64) storyClaim {
	return figureAt(t, fmt.Sprintf("from when the crown allows a base of %.2f m, t", h.M()), t, tolerance, "", func(r *storyRun) (float64, bool) {
		return firstTime(r, 0, func(d *draft, on scheduler.Date) bool { return highestBase(d, on) >= h })
	})
}

// crownPasses: when the crown's radius first passes a distance from the trunk.
func crownPasses(t float64, out geo.Length, tolerance float64) storyClaim {
	return figureAt(t, fmt.Sprintf("when the crown passes %.1f m from the trunk, t", out.M()), t, tolerance, "", func(r *storyRun) (float64, bool) {
		return firstTime(r, 0, func(d *draft, on scheduler.Date) bool { return d.radius(on) > out })
	})
}

// raisesTo: what the visit near t raises a side to, in metres.
func raisesTo(t, h float64) storyClaim {
	return figureAt(t, "raise to", h, 0.1, " m", func(r *storyRun) (float64, bool) {
		best, ok := 0.0, false
		st := r.near(t, pruningKinds...)
		if st == nil {
			return 0, false
		}
		for _, l := range st.visit.Objectives {
			if _, after, found := strings.Cut(l, ": raise to "); found {
				var v float64
				if _, err := fmt.Sscanf(after, "%f m", &v); err == nil && v > best {
					best, ok = v, true
				}
			}
		}
		return best, ok
	})
}

// skillFrom: the first visit that needs at least the skill.
func skillFrom(t float64, skill scheduler.Skill) storyClaim {
	return figureAt(t, "first visit that needs "+string(skill)+", t", t, 0.6, "", func(r *storyRun) (float64, bool) {
		for i := range r.steps {
			if v := r.steps[i].visit; v != nil && skillRank(v.Skill) >= skillRank(skill) {
				return r.t(r.steps[i].on), true
			}
		}
		return 0, false
	})
}

// skillAt: the crew of the visit near t, of one of the kinds or of a pruning one.
func skillAt(t float64, skill scheduler.Skill, kinds ...scheduler.WorkKind) storyClaim {
	if len(kinds) == 0 {
		kinds = pruningKinds
	}
	return storyClaim{t: t, what: "crew", hand: string(skill), got: func(r *storyRun) (string, bool) {
		st := r.near(t, kinds...)
		if st == nil {
			st = r.near(t)
		}
		if st == nil {
			return "no visit then", false
		}
		return fmt.Sprintf("t%.1f %s", r.t(st.on), st.visit.Skill), st.visit.Skill == skill
	}}
}

// doseAt: the live crown to take at most, of the visit near t.
func doseAt(t float64, low, high int) storyClaim {
	hand := fmt.Sprintf("%d %%", high)
	if low == 0 && high > 0 {
		hand = fmt.Sprintf("at most %d %%", high)
	}
	return storyClaim{t: t, what: "live crown to take", hand: hand, got: func(r *storyRun) (string, bool) {
		st := r.near(t, pruningKinds...)
		if st == nil {
			st = r.near(t)
		}
		if st == nil {
			return "no visit then", false
		}
		return fmt.Sprintf("%d %%", st.visit.Dose), low <= st.visit.Dose && st.visit.Dose <= high
	}}
}

// rotationFrom: when the tree passes to the rotation.
func rotationFrom(t float64) storyClaim {
	return figureAt(t, "to rotation, t", t, 0.6, "", func(r *storyRun) (float64, bool) {
		for i := range r.steps {
			if st := &r.steps[i]; st.before.Stage != scheduler.StageRotation && st.after.Stage == scheduler.StageRotation {
				return r.t(st.on), true
			}
		}
		return 0, false
	})
}

// permanentHeight: where the lowest permanent branch is to attach, height to clear plus the species' droop.
func permanentHeight(h float64) storyClaim {
	return figureAt(-1, "lowest permanent branch attaches at", h, 0.1, " m", func(r *storyRun) (float64, bool) {
		d := r.draftOn(r.began)
		return d.permanentAt().M(), true
	})
}

// permanentChosen: by when the lowest permanent branch is chosen on the tree.
func permanentChosen(t float64) storyClaim {
	return figureAt(t, "lowest permanent branch chosen on the tree, t", t, 0.6, "", func(r *storyRun) (float64, bool) {
		for i := range r.steps {
			if st := &r.steps[i]; st.before.Permanent <= 0 && st.after.Permanent > 0 {
				return r.t(st.on), true
			}
		}
		return 0, false
	})
}

// itemAfter: what has become of a watch item after the visit near t.
func itemAfter(t float64, letter string, left bool) storyClaim {
	hand := "taken out"
	if left {
		hand = "still there"
	}
	return storyClaim{t: t, what: "stem " + letter, hand: hand, got: func(r *storyRun) (string, bool) {
		st := r.near(t, pruningKinds...)
		if st == nil {
			return "no visit then", false
		}
		for i := range st.after.Watch {
			if w := &st.after.Watch[i]; w.Letter == letter && !w.Resolved {
				return fmt.Sprintf("t%.1f still there, %d of %d mm, %s", r.t(st.on), w.Diameter, w.StemDiameter, w.Intent), left
			}
		}
		return fmt.Sprintf("t%.1f gone", r.t(st.on)), !left
	}}
}
