package due

import (
	"limbround/geo"
	"limbround/scheduler"
)

// branchSize is a watched branch on a day: its diameter and its parent stem's
// just above the union, both in millimetres.
type branchSize struct{ branch, stem float64 }

func (b branchSize) ratio() float64 { return b.branch / b.stem }

// branchAt projects a watched branch. Its parent stem thickens in proportion to
// the trunk. A competing leader in equal light thickens by as much as the
// stem, so that its ratio rises; a shaded low branch by a part of it, so that
// its ratio falls; and after a reduction by about a half either grows at half
// its rate (common practice). A stem that was not measured is taken as the trunk.
func (d *draft) branchAt(w *scheduler.WatchItem, on scheduler.Date) branchSize {
	then, now := d.at(w.SeenOn).DBH, d.at(on).DBH
	stem := float64(w.StemDiameter)
	if w.StemDiameter <= 0 {
		stem = max(float64(then), float64(w.Diameter))
	}
	grown := 0.0
	if then > 0 && now > then {
		grown = stem * float64(now-then) / float64(then) // exact where the figures are
	}
	return branchSize{
		branch: float64(w.Diameter) + grown*float64(d.growthPct(w))/100,
		stem:   stem + grown,
	}
}

// growthPct is a branch's growth in per cent of its parent stem's.
func (d *draft) growthPct(w *scheduler.WatchItem) int {
	p := &d.e.practice
	pct := p.BranchGrowthPct
	if upright(w.What) {
		pct = p.StemGrowthPct
	}
	if !w.ReducedOn.IsZero() {
		pct = pct * p.ReducedPct / 100
	}
	return pct
}

// upright reports whether the words name a stem in equal light.
func upright(what string) bool {
	for _, word := range [...]string{"leader", "top", "stem", "codominant"} {
		if holds(what, word) {
			return true
		}
	}
	return false
}

// holds is a search for the lower-case beginning of a word, upper or lower case
// in the text: a stop sign holds no top.
func holds(text, word string) bool {
	for i := 0; i+len(word) <= len(text); i++ {
		if i > 0 && letter(text[i-1]) {
			continue
		}
		j := 0
		for j < len(word) && text[i+j]|0x20 == word[j] {
			j++
		}
		if j == len(word) {
			return true
		}
	}
	return false
}

func letter(c byte) bool { return 'a' <= c|0x20 && c|0x20 <= 'z' }

// cutOutcome says what the cut table answers about a branch to be removed later.
type cutOutcome int

const (
	staysSmall cutOutcome = iota // small through every season looked at
	smallUntil                   // small up to a season, then not
	ratioFirst                   // too thick for its stem now, may come right while still small
	neverSmall                   // passes the small cut before its ratio allows removal
)

// smallCut looks through the dormant seasons from first to last for the last
// one at whose end the branch can be taken with a cut of no more than limit at a
// ratio that allows removal. The ratio does not stand against a temporary
// branch in the first row of the table.
func (d *draft) smallCut(w *scheduler.WatchItem, limit geo.Length, first, last int) (cutOutcome, int) {
	ratio := d.p.smallRatio
	wasSmall := false
	for y := first; y <= last; y++ {
		_, end := d.span(scheduler.Training, y)
		s := d.branchAt(w, end)
		thick := s.branch > float64(limit)
		steep := ratio > 0 && s.ratio() > ratio && !(temporary(w.What) && s.branch <= float64(d.p.cuts.rows[0]))
		switch {
		case !thick && !steep:
			wasSmall = true
		case wasSmall:
			return smallUntil, y - 1
		case thick:
			return neverSmall, y
		}
	}
	if wasSmall {
		return staysSmall, last
	}
	return ratioFirst, last
}
