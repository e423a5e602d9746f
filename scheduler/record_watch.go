package scheduler

import (
	"slices"
	"strings"
)

// foldWatch works out what each of a tree's watch items says from all records,
// given in the order of the work. An item is known by the record that found it
// and its place there; its letter and number are those it has among have.
func foldWatch(tree int64, have []WatchItem, list []PastRecord, leafOn MonthSpan) []WatchItem {
	items := slices.Clone(have)
	for i := range list {
		p := &list[i]
		for n := range p.Record.Watch {
			f := &p.Record.Watch[n]
			if f.Letter != "" {
				continue
			}
			w := itemOf(items, p.Record.ID, n)
			if w == nil {
				items = append(items, WatchItem{Letter: nextLetter(items)})
				w = &items[len(items)-1]
			}
			id, letter := w.ID, w.Letter
			*w = newWatch(tree, letter, f, p.On, leafOn)
			w.ID, w.RecordID, w.Place = id, p.Record.ID, n
		}
	}
	for i := range list {
		p := &list[i]
		for n := range p.Record.Watch {
			if f := &p.Record.Watch[n]; f.Letter != "" {
				if w := watchNamed(items, f.Letter); w != nil {
					updateWatch(w, f, p.On, leafOn)
				}
			}
		}
	}
	return items
}

func itemOf(items []WatchItem, record string, place int) *WatchItem {
	for i := range items {
		if items[i].RecordID == record && items[i].Place == place && record != "" {
			return &items[i]
		}
	}
	return nil
}

func watchNamed(items []WatchItem, letter string) *WatchItem {
	for i := range items {
		if items[i].Letter == letter {
			return &items[i]
		}
	}
	return nil
}

func newWatch(tree int64, letter string, f *WatchFinding, on Date, leafOn MonthSpan) WatchItem {
	w := WatchItem{
		TreeID: tree, Letter: letter, What: f.What, Height: f.Height.OrNone(), Side: f.Side, Diameter: f.Diameter.OrNone(),
		StemDiameter: f.StemDiameter.OrNone(), IncludedBark: f.IncludedBark, Done: f.Done, Intent: f.Intent,
		SeenOn: on, Resolved: f.gone(),
	}
	if w.Intent == "" {
		w.Intent = WatchOnly
	}
	w.schedule(f, on, leafOn)
	return w
}

// updateWatch takes over a later look at a known item; an older look than the
// newest changes nothing.
func updateWatch(w *WatchItem, f *WatchFinding, on Date, leafOn MonthSpan) {
	if on < w.SeenOn {
		if f.Reduced {
			w.ReducedOn = max(w.ReducedOn, on)
		}
		return
	}
	w.SeenOn = on
	if f.What != "" {
		w.What = f.What
	}
	if f.Side != "" {
		w.Side = f.Side
	}
	if f.Height > 0 {
		w.Height = f.Height
	}
	if f.Diameter > 0 {
		w.Diameter = f.Diameter
	}
	if f.StemDiameter > 0 {
		w.StemDiameter = f.StemDiameter
	}
	w.IncludedBark = w.IncludedBark || f.IncludedBark
	if f.Done != "" {
		w.Done = f.Done
	}
	if f.Intent != "" {
		w.Intent = f.Intent
	}
	w.Resolved = w.Resolved || f.gone()
	w.schedule(f, on, leafOn)
}

// schedule sets the date of the reduction and of the next look. A branch that
// was reduced to be removed later needs one full growing season between the two
// (common practice); everything else is looked at on the next visit, whenever it comes.
func (w *WatchItem) schedule(f *WatchFinding, on Date, leafOn MonthSpan) {
	if f.Reduced {
		w.ReducedOn = max(w.ReducedOn, on)
	}
	w.NextCheck = 0
	if w.Intent == RemoveLater && !w.Resolved {
		if w.ReducedOn.IsZero() {
			w.NextCheck = on.AddYears(1)
			return
		}
		season := leafOn.DoseSeason(w.ReducedOn)
		if leafOn.inLeaf(w.ReducedOn) {
			season++ // reduced in leaf: the rest of that season is not a full one
		}
		w.NextCheck = leafOn.leavesDown(season)
	}
}

// gone reports whether the finding says that nothing is left to watch.
func (w *WatchFinding) gone() bool { return w.Resolved || strings.HasPrefix(w.Done, "removed") }
