package due

import (
	"fmt"
	"math"
	"strings"

	"limbround/scheduler"
)

// Claims about what the visits say.

// says: the visit near t, or what an event then opened, has a line with all the words.
func says(t float64, what, hand string, with ...string) storyClaim {
	return saysOf(t, "", what, hand, with...)
}

// saysOf is says for visits that do the kind of work alone.
func saysOf(t float64, kind scheduler.WorkKind, what, hand string, with ...string) storyClaim {
	return storyClaim{t: t, what: what, hand: hand, got: func(r *storyRun) (string, bool) {
		any := false
		for i := range r.steps {
			st := &r.steps[i]
			if math.Abs(r.t(st.on)-t) > sameVisit {
				continue
			}
			for _, v := range st.visits() {
				if kind != "" && !hasAny(v, []scheduler.WorkKind{kind}) {
					continue
				}
				any = true
				if line := lineWith(v, with); line != "" {
					return line, true
				}
			}
		}
		if !any {
			return "no visit then", false
		}
		return "not said", false
	}}
}

// visits are the visits of a step: its own, and those that its event called for.
func (st *storyStep) visits() []*scheduler.Visit {
	var out []*scheduler.Visit
	if st.visit != nil {
		out = append(out, st.visit)
	}
	for i := range st.opened {
		out = append(out, &st.opened[i].Visit)
	}
	for i := range st.open {
		out = append(out, &st.open[i])
	}
	return out
}

// lineWith is the first line of a visit that holds all the words, in any case of letters.
func lineWith(v *scheduler.Visit, with []string) string {
	lines := append([]string{v.Season}, v.Objectives...)
	lines = append(append(lines, v.Limits...), v.Cautions...)
	for _, r := range v.Reasons {
		lines = append(lines, r.Text)
	}
	for _, l := range lines {
		low, all := strings.ToLower(l), true
		for _, w := range with {
			all = all && strings.Contains(low, strings.ToLower(w))
		}
		if all {
			return l
		}
	}
	return ""
}

// everySays: every visit of a kind has a line with the words.
func everySays(what, hand string, kind scheduler.WorkKind, with ...string) storyClaim {
	return storyClaim{t: -1, what: what, hand: hand, got: func(r *storyRun) (string, bool) {
		n, of, line := 0, 0, ""
		for i := range r.steps {
			if v := r.steps[i].visit; v != nil && hasAny(v, []scheduler.WorkKind{kind}) {
				of++
				if l := lineWith(v, with); l != "" {
					n, line = n+1, l
				}
			}
		}
		return strings.TrimRight(fmt.Sprintf("%d of %d visits: %s", n, of, line), ": "), n == of && of > 0
	}}
}

// neverSays: no objective of any visit has a line with the words.
func neverSays(what, hand string, with ...string) storyClaim {
	return neverIn(what, hand, func(v *scheduler.Visit) []string { return v.Objectives }, with)
}

// neverLimits: no limit of any visit has a line with the words.
func neverLimits(what, hand string, with ...string) storyClaim {
	return neverIn(what, hand, func(v *scheduler.Visit) []string { return v.Limits }, with)
}

func neverIn(what, hand string, lines func(*scheduler.Visit) []string, with []string) storyClaim {
	return storyClaim{t: -1, what: what, hand: hand, got: func(r *storyRun) (string, bool) {
		for i := range r.steps {
			if v := r.steps[i].visit; v != nil {
				if l := lineWith(&scheduler.Visit{Objectives: lines(v)}, with); l != "" {
					return fmt.Sprintf("t%.1f: %s", r.t(r.steps[i].on), l), false
				}
			}
		}
		return "no visit says so", true
	}}
}
