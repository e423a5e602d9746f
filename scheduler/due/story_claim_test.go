package due

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"limbround/scheduler"
)

// storyClaim is one figure or rule of a story as it was worked by hand, and the way
// to read the same from the engine. Where the two differ, why says it; a why
// where they do not differ is an error, as is a difference without one.
type storyClaim struct {
	t    float64 // years from the story's beginning; -1 for the whole story
	what string
	hand string
	got  func(*storyRun) (engine string, same bool)
	why  string
}

// but gives the reason for a difference.
func (c storyClaim) but(why string) storyClaim {
	c.why = why
	return c
}

// compare prints the claims beside the engine's answers.
func (r *storyRun) compare(t *testing.T, b *bytes.Buffer) {
	t.Helper()
	fmt.Fprintf(b, "\nWorked by hand, and what the engine says\n")
	for _, c := range r.s.claims() {
		engine, same := c.got(r)
		at := "     "
		if c.t != -1 {
			at = fmt.Sprintf("t%-4g", c.t)
		}
		verdict := "same"
		if !same {
			verdict = c.why
		}
		fmt.Fprintf(b, "%s %s\n      by hand: %s\n      engine:  %s\n      %s\n", at, c.what, c.hand, engine, verdict)
		switch {
		case !same && c.why == "":
			t.Errorf("t%g %s: by hand %q, engine %q: a difference without a reason", c.t, c.what, c.hand, engine)
		case same && c.why != "":
			t.Errorf("t%g %s: by hand %q, engine %q: no difference, but a reason stands: %s", c.t, c.what, c.hand, engine, c.why)
		}
	}
}

// near is the step with a visit of one of the kinds that comes closest to a
// time, within a year (no two training visits are closer than two); nil for none.
func (r *storyRun) near(t float64, kinds ...scheduler.WorkKind) *storyStep {
	var best *storyStep
	for i := range r.steps {
		st := &r.steps[i]
		if st.visit == nil || math.Abs(r.t(st.on)-t) > sameVisit || (len(kinds) > 0 && !hasAny(st.visit, kinds)) {
			continue
		}
		if best == nil || math.Abs(r.t(st.on)-t) < math.Abs(r.t(best.on)-t) {
			best = st
		}
	}
	return best
}

func hasAny(v *scheduler.Visit, kinds []scheduler.WorkKind) bool {
	for _, k := range v.Kinds {
		if contains(kinds, k) {
			return true
		}
	}
	return false
}

// sameVisit is how far, in years, a visit may lie from a time and still be the one that is meant.
const sameVisit = 1.05

// pruningKinds are the kinds that people count as a pruning visit.
var pruningKinds = []scheduler.WorkKind{scheduler.Training, scheduler.RotationPrune, scheduler.RoadClearance, scheduler.WalkClearance, scheduler.Restoration}

// sizeAt: dbh in cm, height in m, and the highest base at the least live crown;
// zero for a figure that was not worked out.
func sizeAt(t, dbh, height, base float64) storyClaim {
	hand := []float64{dbh, height, base}
	return storyClaim{t: t, what: "dbh cm / height m / highest base m", hand: slashedText(hand, hand), got: func(r *storyRun) (string, bool) {
		on := r.day(t)
		d := r.draftOn(on)
		s := d.at(on)
		got := []float64{s.DBH.CM(), s.Height.M(), highestBase(d, on).M()}
		same := true
		for i := range got {
			same = same && (hand[i] == 0 || math.Abs(got[i]-hand[i]) < 0.1005) // a decimal, and the rounding to millimetres
		}
		return slashedText(got, hand), same
	}}
}

func slashedText(v, given []float64) string {
	var out []string
	for i := range v {
		if given[i] == 0 {
			out = append(out, "-")
			continue
		}
		out = append(out, fmt.Sprintf("%.1f", v[i]))
	}
	return strings.Join(out, " / ")
}

// visitAt: a visit that does one of the kinds, within half a year.
func visitAt(t float64, kinds ...scheduler.WorkKind) storyClaim {
	if len(kinds) == 0 {
		kinds = pruningKinds
	}
	c := storyClaim{t: t, what: "a visit", hand: fmt.Sprintf("t%g", t)}
	if len(kinds) == 1 {
		c.what = "a visit: " + string(kinds[0])
	}
	c.got = func(r *storyRun) (string, bool) {
		if st := r.near(t, kinds...); st != nil && math.Abs(r.t(st.on)-t) <= 0.5 {
			return fmt.Sprintf("t%.1f %s", r.t(st.on), words(st.visit.Kinds)), true
		}
		var near *storyStep
		for i := range r.steps {
			st := &r.steps[i]
			if st.visit != nil && hasAny(st.visit, kinds) && (near == nil || math.Abs(r.t(st.on)-t) < math.Abs(r.t(near.on)-t)) {
				near = st
			}
		}
		if near == nil {
			return "none", false
		}
		return fmt.Sprintf("none; the nearest at t%.1f, %s", r.t(near.on), words(near.visit.Kinds)), false
	}
	return c
}

// pruningVisits: how many there are from one time to another.
func pruningVisits(from, to float64, least, most int) storyClaim {
	return storyClaim{t: -1, what: fmt.Sprintf("pruning visits from t%g to t%g", from, to), hand: countText(least, most), got: func(r *storyRun) (string, bool) {
		n := r.prunings(from, to)
		return fmt.Sprint(n), least <= n && n <= most
	}}
}

func countText(least, most int) string {
	if least == most {
		return fmt.Sprint(most)
	}
	return fmt.Sprintf("%d to %d", least, most)
}

func (r *storyRun) prunings(from, to float64) int {
	n := 0
	for i := range r.steps {
		st := &r.steps[i]
		if at := r.t(st.on); st.visit != nil && at >= from-0.5 && at <= to+0.5 && hasAny(st.visit, pruningKinds) {
			n++
		}
	}
	return n
}

// closedDays: no visit that cuts live wood is done from one day of the year to another.
func closedDays(from, to scheduler.MonthDay) storyClaim {
	hand := fmt.Sprintf("closed %d.%d. to %d.%d.", from.Day, from.Month, to.Day, to.Month)
	return storyClaim{t: -1, what: "closed season", hand: hand, got: func(r *storyRun) (string, bool) {
		b := ban{rule: &scheduler.Season{From: from, To: to}}
		n := 0
		for i := range r.steps {
			st := &r.steps[i]
			if st.visit == nil || !hasAny(st.visit, pruningKinds) {
				continue
			}
			n++
			if b.inside(st.on) {
				return fmt.Sprintf("t%.1f: %s on %s", r.t(st.on), words(st.visit.Kinds), st.on), false
			}
		}
		return fmt.Sprintf("none of %d pruning visits falls into it", n), n > 0
	}}
}
