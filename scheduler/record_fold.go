package scheduler

import (
	"cmp"
	"slices"
)

// What a tree's records say is worked out anew from all of them each time one
// arrives. Phones are out of signal, so records come twice, hours late and in
// any order; put in the order of the work (finish, then id) before they are
// read, the same records end in the same facts whatever way they came. A tree
// has some ten to thirty of them in its life, so nothing is gained by a shorter
// way for the usual case, and there is no second way that could differ.
//
// The reading starts from the base: the tree as the inventory had it before its
// first record. An import that changes a tree's facts makes a new base of the
// facts as it leaves them, and the records until then are part of that base
// (InBase): their dates still guard it, so that an older record moves nothing
// back, but between two records on either side of such an import the order of
// arrival still counts. Past visits that were imported come with the base.
//
// The same whatever the order: the tree's facts and dose, what each watch item
// says, follow-ups, and what is left open of the hazards and checks that
// records called for. Not the same: numbers of rows, edit counters, answers,
// and the letters of watch items. A letter is given on arrival and never moves,
// because by then it may be painted on a tag; a record that names a letter was
// written by somebody who had seen it, so its item is always there.

// PastRecord is one record of a tree's past, with what the store knows of it.
type PastRecord struct {
	Record WorkRecord
	On     Date     // the city's civil date of the finish
	Lead   WorkKind // lead kind of the visit that the record names, empty for none
	InBase bool     // the base holds its facts already
}

// FoldRules is what a record's code needs beyond the record.
type FoldRules struct {
	FollowUp FollowUpRules
	LeafOn   MonthSpan // the growing season; zero is the northern temperate zone's
	// Skill is what the rules plan for work of the kind on a tree of these facts on a day; nil plans Ground.
	Skill func(t *Tree, k WorkKind, on Date) Skill
}

// Folded is what all records of a tree make of it.
type Folded struct {
	Tree      Tree       // with all its watch items, resolved ones too
	FollowUps []FollowUp // one for each record whose code set one, by the order of the work; ended ones too
	Opened    []Opened   // what the records called for, by the order of the work
}

// Opened is a visit that a record itself calls for.
type Opened struct {
	Record *WorkRecord
	On     Date
	Kind   WorkKind // MakeSafe or Inspection
	DoneBy string   // the later record that did it, empty while it is to be done
}

// Fold reads a tree's records over its base. watch are the tree's items as
// they stand: their letters and numbers are kept, and items of no record given stay as they are.
func Fold(base Tree, watch []WatchItem, records []PastRecord, rules FoldRules) Folded {
	list := slices.Clone(records)
	slices.SortFunc(list, func(a, b PastRecord) int { return a.compare(&b) })
	out := Folded{Tree: base}
	out.Tree.Watch = nil
	for i := range list {
		p := &list[i]
		if !p.InBase {
			applyFacts(&out.Tree, &p.Record, p.On, rules.LeafOn)
		}
		out.follow(p, &rules)
		out.open(p)
	}
	out.Tree.Watch = foldWatch(base.ID, watch, list, rules.LeafOn)
	return out
}

// compare puts records in the order of the work.
func (p *PastRecord) compare(o *PastRecord) int {
	return cmp.Or(p.Record.Finish.Compare(o.Record.Finish), cmp.Compare(p.Record.ID, o.Record.ID))
}

// follow ends the follow-ups that the record brings to an end and adds the one it sets.
func (f *Folded) follow(p *PastRecord, rules *FoldRules) {
	lead := p.lead()
	skill := Ground
	if p.Record.CouldNot == NeedsLift && rules.Skill != nil {
		skill = rules.Skill(&f.Tree, lead, p.On)
	}
	for i := range f.FollowUps {
		u := &f.FollowUps[i]
		if !u.EndedOn.IsZero() {
			continue
		}
		if u.about(&Visit{Kind: lead}) {
			skill = skill.atLeast(u.Skill)
		}
		if u.endedBy(p) {
			u.EndedOn = p.On
		}
	}
	if code := p.Record.CouldNot; code != "" {
		u := FollowUpOf(code, lead, skill, p.On, rules.FollowUp, rules.LeafOn)
		u.TreeID, u.RecordID = p.Record.TreeID, p.Record.ID
		f.FollowUps = append(f.FollowUps, u)
	}
}

// open marks what the record did of the visits that earlier ones called for,
// and adds those that it calls for itself. A danger that was seen after the work
// stays open, whichever record arrived first.
func (f *Folded) open(p *PastRecord) {
	r := &p.Record
	for i := range f.Opened {
		if o := &f.Opened[i]; o.DoneBy == "" && p.meets(o.Kind) {
			o.DoneBy = r.ID
		}
	}
	if r.Hazard != nil || r.CouldNot == DeadOrHazard {
		f.Opened = append(f.Opened, Opened{Record: r, On: p.On, Kind: MakeSafe})
	}
	if r.CouldNot == TreeGone || r.CouldNot == WrongSpecies {
		f.Opened = append(f.Opened, Opened{Record: r, On: p.On, Kind: Inspection})
	}
}

// lead is the kind of work that the record is mainly about.
func (p *PastRecord) lead() WorkKind {
	if p.Lead != "" {
		return p.Lead
	}
	return p.Record.Kinds[0]
}

// meets reports whether the record did what work of the kind was wanted for:
// a tree that was taken down is made safe.
func (p *PastRecord) meets(k WorkKind) bool { return p.did(k) || k == MakeSafe && p.did(Removal) }

// did reports whether the record finished work of the kind: it says so, or it
// finished the visit that was for it.
func (p *PastRecord) did(k WorkKind) bool {
	return p.Record.Outcome == OutcomeDone && (p.Lead == k || slices.Contains(p.Record.Kinds, k))
}
