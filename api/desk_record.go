package api

import (
	"net/http"
	"strings"
	"time"

	"limbround/geo"
	"limbround/scheduler"
)

// recordOf reads a stop's form. The record's id came with the page, so that a
// form sent twice is one record; the rules of a record are checked by the verb.
func recordOf(r *http.Request, v *scheduler.Visit, t *scheduler.Tree, actor string, now time.Time) (scheduler.WorkRecord, error) {
	f := form{r: r}
	finish := now.UTC().Truncate(time.Second)
	rec := scheduler.WorkRecord{
		ID: r.PostFormValue("id"), VisitID: v.ID, TreeID: v.TreeID, PacketID: int64(f.number("packet")), By: actor,
		Finish: finish, Start: finish.Add(-time.Duration(f.number("minutes")) * time.Minute),
		Kinds: v.Kinds, Outcome: scheduler.Outcome(r.PostFormValue("outcome")), CouldNot: scheduler.CouldNot(r.PostFormValue("could_not")),
		LiveCrown: f.number("live_crown"), Found: scheduler.TreeState(r.PostFormValue("found")),
		Cuts:     scheduler.CutTally{Under1: f.number("under1"), OneTwo: f.number("one_two"), TwoFour: f.number("two_four"), Over4: f.number("over4")},
		BaseRoad: geo.Length(f.number("base_road")), BaseWalk: geo.Length(f.number("base_walk")), DBH: geo.Length(f.number("dbh")),
		Note: strings.TrimSpace(r.PostFormValue("note")), Source: "field",
	}
	for i := range t.Watch {
		if w, said := f.watched(&t.Watch[i]); said {
			rec.Watch = append(rec.Watch, w)
		}
	}
	if what := strings.TrimSpace(r.PostFormValue("new_what")); what != "" {
		rec.Watch = append(rec.Watch, scheduler.WatchFinding{
			What: what, Height: geo.Length(f.number("new_height")), Side: scheduler.Side(r.PostFormValue("new_side")),
			Diameter: geo.Length(f.number("new_size")), StemDiameter: geo.Length(f.number("new_stem")),
			IncludedBark: r.PostFormValue("new_bark") != "", Intent: scheduler.Intent(r.PostFormValue("new_intent")),
		})
	}
	if what := strings.TrimSpace(r.PostFormValue("hazard")); what != "" {
		rec.Hazard = &scheduler.Hazard{What: what, Class: 1, CalledTo: strings.TrimSpace(r.PostFormValue("hazard_to")), At: finish}
	}
	return rec, f.err()
}

// watched reads what was done to one watch item; said is false when nothing changed.
func (f *form) watched(w *scheduler.WatchItem) (scheduler.WatchFinding, bool) {
	did := f.r.PostFormValue("watch_" + w.Letter)
	out := scheduler.WatchFinding{
		Letter: w.Letter, Intent: scheduler.Intent(f.r.PostFormValue("intent_" + w.Letter)),
		Diameter: geo.Length(f.number("size_" + w.Letter)),
	}
	switch did {
	case "reduced":
		out.Done, out.Reduced = "reduced to a side branch", true
	case "removed":
		out.Done, out.Resolved = "removed", true
	}
	same := out.Intent == w.Intent && (out.Diameter == 0 || out.Diameter == w.Diameter)
	return out, did != "" || !same
}
