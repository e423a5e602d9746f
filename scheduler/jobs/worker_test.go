package jobs

import (
	"context"
	"encoding/json"
	"errors"
	"log/slog"
	"slices"
	"testing"
	"time"

	"github.com/riverqueue/river"

	"limbround/scheduler"
)

func allFuncs() Funcs {
	return Funcs{
		Due:         func(context.Context, DueArgs, Tell) error { return nil },
		Plan:        func(context.Context, PlanArgs, Tell) error { return nil },
		Packets:     func(context.Context, PacketsArgs, Tell) error { return nil },
		WeekDraft:   func(context.Context, WeekDraftArgs, Tell) error { return nil },
		Remind:      func(context.Context, RemindArgs, Tell) error { return nil },
		ImportApply: func(context.Context, ImportApplyArgs, Tell) error { return nil },
	}
}

func TestWorkersNeedEveryFunction(t *testing.T) {
	if _, err := Workers(Desk{}, allFuncs()); err != nil {
		t.Fatal(err)
	}
	for i, take := range []func(*Funcs){
		func(f *Funcs) { f.Due = nil }, func(f *Funcs) { f.Plan = nil }, func(f *Funcs) { f.Packets = nil },
		func(f *Funcs) { f.WeekDraft = nil }, func(f *Funcs) { f.Remind = nil }, func(f *Funcs) { f.ImportApply = nil },
	} {
		f := allFuncs()
		take(&f)
		if _, err := Workers(Desk{}, f); err == nil {
			t.Errorf("kind %d without its function was accepted", i)
		}
	}
}

func TestOnlyErrorsThatMayPassAreTriedAgain(t *testing.T) {
	for kind, again := range map[scheduler.Kind]bool{
		scheduler.Internal: true, scheduler.Unavailable: true, scheduler.Stale: true, scheduler.Clash: true,
		scheduler.Invalid: false, scheduler.NotFound: false, scheduler.Infeasible: false, scheduler.Forbidden: false,
	} {
		for _, final := range [][]scheduler.Kind{nil, {kind}} {
			cause := scheduler.Errorf(kind, "cause")
			err := verdict(t.Context(), cause, final...)
			var cancel *river.JobCancelError
			want := again && final == nil
			if got := !errors.As(err, &cancel); got != want || !errors.Is(err, cause) {
				t.Errorf("%s, final %v: try again %v, want %v (%v)", kind, final, got, want, err)
			}
		}
	}
	if verdict(t.Context(), nil) != nil {
		t.Error("success became a failure")
	}
}

// A job that was stopped from outside must not be given up for the error that
// the stop caused: another worker does it.
func TestAStoppedJobSaysThatItWasStopped(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	err := verdict(ctx, scheduler.Errorf(scheduler.Invalid, "half a file"))
	var final *river.JobCancelError
	if !errors.Is(err, context.Canceled) || errors.As(err, &final) {
		t.Errorf("a stopped job answers %v", err)
	}
}

// The queue keeps arguments as JSON across releases: their names are fixed.
func TestArgumentsKeepTheirNames(t *testing.T) {
	day, err := scheduler.ParseDate("2026-06-01")
	if err != nil {
		t.Fatal(err)
	}
	for want, args := range map[string]scheduler.JobArgs{
		`due {"as_of":"2026-06-01","actor":"dana"}`:                 DueArgs{AsOf: day, Actor: "dana"},
		`plan {"year":2027,"as_of":"2026-06-01","actor":"dana"}`:    PlanArgs{2027, day, "dana"},
		`packets {"from":"2026-06-01","days":2,"actor":"schedule"}`: PacketsArgs{day, 2, "schedule"},
		`week_draft {"monday":"2026-06-01","actor":"schedule"}`:     WeekDraftArgs{day, "schedule"},
		`reminders {"day":"2026-06-01","actor":"schedule"}`:         RemindArgs{day, "schedule"},
		`import_apply {"batch":7,"actor":"dana"}`:                   ImportApplyArgs{7, "dana"},
	} {
		b, err := json.Marshal(args)
		if got := args.Kind() + " " + string(b); err != nil || got != want {
			t.Errorf("%s (%v), want %s", got, err, want)
		}
	}
}

// noted keeps what is told of a job's progress.
type noted []scheduler.JobProgress

func (n *noted) JobsAhead(context.Context, int64) (bool, error) { return false, nil }

func (n *noted) TellProgress(_ context.Context, _ int64, p scheduler.JobProgress) error {
	*n = append(*n, p)
	return scheduler.Errorf(scheduler.Unavailable, "down") // must not stop the work
}

func TestProgressIsNotedOnceASecond(t *testing.T) {
	at := time.Date(2026, 6, 1, 8, 0, 0, 0, time.UTC)
	var store noted
	d := Desk{Store: &store, Now: func() time.Time { return at }, Log: slog.New(slog.DiscardHandler)}
	tell := d.tell(t.Context(), 7)
	for i := range int64(26) { // over 2.5 s
		tell(i, 26, "trees")
		at = at.Add(100 * time.Millisecond)
	}
	var got []int64
	for _, p := range store {
		got = append(got, p.Done)
	}
	if !slices.Equal(got, []int64{0, 10, 20}) {
		t.Errorf("noted at %v", got)
	}
	Tell(nil).say(1, 2, "nobody listens")
}
