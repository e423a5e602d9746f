package jobs

import (
	"context"
	"slices"
	"time"

	"limbround/scheduler"
)

// RecordStore takes work records.
type RecordStore interface {
	RuleStore
	// Record stores one record with all that follows from it in one transaction. decide sees the
	// tree with its row locked. The same record twice MUST be one record and one answer.
	Record(ctx context.Context, rec scheduler.WorkRecord,
		decide func(scheduler.RecordInput) (scheduler.RecordOutcome, error), by scheduler.Stamp) (scheduler.RecordAnswer, error)
}

// Record takes in what crews write down at the tree.
type Record struct {
	Store RecordStore
	Now   func() time.Time
}

// RecordRequest is one or more records, in the order in which they were made.
type RecordRequest struct {
	Records []scheduler.WorkRecord
	Actor   string
}

// RecordResult answers each record in turn.
type RecordResult struct {
	Answers []RecordReply `json:"records"`
	Taken   int           `json:"taken"`
	Known   int           `json:"known"` // received before, nothing written
	Refused int           `json:"refused"`
	Closed  int           `json:"visits_closed"`
}

// RecordReply is what became of one record: an answer, or the rules it breaks.
type RecordReply struct {
	ID     string                  `json:"id"`
	Answer *scheduler.RecordAnswer `json:"answer,omitempty"`
	Kind   scheduler.Kind          `json:"error,omitempty"`
	Error  string                  `json:"message,omitempty"`
	Hint   string                  `json:"hint,omitempty"`
	Faults []scheduler.Fault       `json:"faults,omitempty"`
}

// Run takes each record by itself: one that is refused does not hold up the
// others. The error is set only when the store fails; then the replies so far stand.
func (r Record) Run(ctx context.Context, q RecordRequest) (RecordResult, error) {
	out := RecordResult{Answers: make([]RecordReply, 0, len(q.Records))}
	now := r.Now()
	rules, err := loadRules(ctx, r.Store, now, 0)
	if err != nil {
		return out, err
	}
	for i := range q.Records {
		reply := RecordReply{ID: q.Records[i].ID}
		answer, err := r.one(ctx, &rules, q.Records[i], scheduler.Stamp{Actor: q.Actor, At: now})
		switch kind := scheduler.KindOf(err); kind {
		case "":
			reply.Answer = &answer
			if answer.Replayed {
				out.Known++
			} else {
				out.Taken++
				out.Closed += len(answer.Closed)
			}
		case scheduler.Invalid, scheduler.Clash, scheduler.NotFound:
			out.Refused++
			reply.refuse(kind, err)
		default:
			return out, err
		}
		out.Answers = append(out.Answers, reply)
	}
	return out, nil
}

func (r Record) one(ctx context.Context, rules *rules, rec scheduler.WorkRecord, by scheduler.Stamp) (scheduler.RecordAnswer, error) {
	if faults := rec.Check(by.At); len(faults) > 0 {
		return scheduler.RecordAnswer{}, brokenRecord(&rec, faults)
	}
	return r.Store.Record(ctx, rec, rules.follow, by)
}

func brokenRecord(rec *scheduler.WorkRecord, faults []scheduler.Fault) error {
	e := scheduler.Errorf(scheduler.Invalid, "record %s: %s", rec.ID, faults[0])
	e.Fields = faults
	return e
}

// follow decides what a record changes: the facts, the visits it completes,
// what its code sets, and the visits that the rules want afterwards.
func (r *rules) follow(in scheduler.RecordInput) (scheduler.RecordOutcome, error) {
	var out scheduler.RecordOutcome
	rec := &in.Record
	tree, faults := scheduler.ApplyRecord(in.Tree, *rec, in.On)
	if len(faults) > 0 {
		return out, brokenRecord(rec, faults)
	}
	out.Tree = tree
	out.Closes = in.Closes()
	out.Ends = scheduler.EndedBy(in.FollowUps, rec, in.On)
	standing := slices.DeleteFunc(slices.Clone(in.FollowUps), func(f scheduler.FollowUp) bool { return slices.Contains(out.Ends, f.ID) })
	late := in.On < in.Tree.LastVisit // somebody has been there since: what stood in the way then is old news
	if rec.CouldNot != "" && !late {
		lead, skill := in.Lead()
		f := scheduler.FollowUpOf(rec.CouldNot, lead, skill, in.On, r.policy.FollowUp)
		out.FollowUp = &f
		standing = append(standing, f)
	}
	out.Opens = r.opens(&in, &tree, late)
	tree.Watch = slices.DeleteFunc(slices.Clone(tree.Watch), func(w scheduler.WatchItem) bool { return w.Resolved })
	out.Visits = r.visits(&scheduler.DueInput{Tree: tree, Site: in.Site, FollowUps: standing})
	return out, nil
}

// opens are the visits that the record itself calls for: a hazard that was
// seen, the check of a site.
func (r *rules) opens(in *scheduler.RecordInput, tree *scheduler.Tree, late bool) []scheduler.OpenedVisit {
	var list []scheduler.OpenedVisit
	code := in.Record.CouldNot
	if late {
		code = ""
	}
	var hazard scheduler.Hazard
	switch {
	case in.Record.Hazard != nil:
		hazard = *in.Record.Hazard
	case code == scheduler.DeadOrHazard:
		hazard = scheduler.Hazard{What: "dead or hazardous tree", Class: 1, CalledTo: "not recorded"}
	}
	if hazard.What != "" {
		if hazard.At.IsZero() {
			hazard.At = in.Record.Finish
		}
		list = append(list, scheduler.HazardVisit(hazard, tree, &in.Site, &r.policy, in.On))
	}
	if code == scheduler.TreeGone || code == scheduler.WrongSpecies {
		list = append(list, scheduler.SiteCheck(code, tree, &in.Site, &r.policy, in.On))
	}
	return list
}
