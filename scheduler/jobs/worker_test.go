package jobs

import (
	"context"
	"encoding/json"
	"errors"
	"testing"

	"github.com/riverqueue/river"

	"limbround/scheduler"
)

func TestWorkersNeedEveryFunction(t *testing.T) {
	all := Funcs{
		Due:     func(context.Context, DueArgs) error { return nil },
		Plan:    func(context.Context, PlanArgs) error { return nil },
		Packets: func(context.Context, PacketsArgs) error { return nil },
	}
	if _, err := Workers(all); err != nil {
		t.Fatal(err)
	}
	all.Plan = nil
	if _, err := Workers(all); err == nil {
		t.Error("a kind without its function was accepted")
	}
}

func TestOnlyErrorsThatMayPassAreTriedAgain(t *testing.T) {
	for kind, again := range map[scheduler.Kind]bool{
		scheduler.Internal: true, scheduler.Unavailable: true, scheduler.Stale: true, scheduler.Clash: true,
		scheduler.Invalid: false, scheduler.NotFound: false, scheduler.Infeasible: false, scheduler.Forbidden: false,
	} {
		cause := scheduler.Errorf(kind, "cause")
		err := verdict(cause)
		var cancel *river.JobCancelError
		if got := !errors.As(err, &cancel); got != again || !errors.Is(err, cause) {
			t.Errorf("%s: try again %v, want %v (%v)", kind, got, again, err)
		}
	}
	if verdict(nil) != nil {
		t.Error("success became a failure")
	}
}

func TestALateDueRunIsGivenUp(t *testing.T) {
	late := scheduler.Errorf(scheduler.Stale, "older")
	err := verdict(lateIsFinal(func(context.Context, DueArgs) error { return late })(t.Context(), DueArgs{}))
	var cancel *river.JobCancelError
	if !errors.As(err, &cancel) || !errors.Is(err, late) {
		t.Errorf("a stale due run is tried again: %v", err)
	}
	down := scheduler.Errorf(scheduler.Unavailable, "down")
	if err := lateIsFinal(func(context.Context, DueArgs) error { return down })(t.Context(), DueArgs{}); errors.As(err, &cancel) || !errors.Is(err, down) {
		t.Errorf("a due run without a database is given up: %v", err)
	}
}

// The queue keeps arguments as JSON across releases: their names are fixed.
func TestArgumentsKeepTheirNames(t *testing.T) {
	day, err := scheduler.ParseDate("2026-06-01")
	if err != nil {
		t.Fatal(err)
	}
	for want, args := range map[string]scheduler.JobArgs{
		`due {"as_of":"2026-06-01","actor":"dana"}`:                 DueArgs{day, "dana"},
		`plan {"year":2027,"as_of":"2026-06-01","actor":"dana"}`:    PlanArgs{2027, day, "dana"},
		`packets {"from":"2026-06-01","days":2,"actor":"schedule"}`: PacketsArgs{day, 2, "schedule"},
	} {
		b, err := json.Marshal(args)
		if got := args.Kind() + " " + string(b); err != nil || got != want {
			t.Errorf("%s (%v), want %s", got, err, want)
		}
	}
}
