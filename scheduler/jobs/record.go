package jobs

import (
	"context"
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
	rules, err := loadRecordRules(ctx, r.Store, now)
	if err != nil {
		return out, err
	}
	for i := range q.Records {
		reply := RecordReply{ID: q.Records[i].ID}
		answer, err := r.one(ctx, rules, q.Records[i], scheduler.Stamp{Actor: q.Actor, At: now})
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

func (r Record) one(ctx context.Context, rules *recordRules, rec scheduler.WorkRecord, by scheduler.Stamp) (scheduler.RecordAnswer, error) {
	if faults := rec.Check(by.At); len(faults) > 0 {
		return scheduler.RecordAnswer{}, brokenRecord(&rec, faults)
	}
	if err := rules.learn(ctx, r.Store, &rec); err != nil {
		return scheduler.RecordAnswer{}, err
	}
	return r.Store.Record(ctx, rec, rules.follow, by)
}

func brokenRecord(rec *scheduler.WorkRecord, faults []scheduler.Fault) error {
	e := scheduler.Errorf(scheduler.Invalid, "record %s: %s", rec.ID, faults[0])
	e.Fields = faults
	return e
}
