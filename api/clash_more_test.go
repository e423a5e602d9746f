package api_test

import (
	"context"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

// together runs n calls at once and returns how often each kind of failure came.
func together(n int, call func(i int) error) map[scheduler.Kind]int {
	kinds := make([]scheduler.Kind, n)
	var wg sync.WaitGroup
	for i := range n {
		wg.Go(func() { kinds[i] = scheduler.KindOf(call(i)) })
	}
	wg.Wait()
	count := map[scheduler.Kind]int{}
	for _, k := range kinds {
		count[k]++
	}
	return count
}

// onlyOf fails the test when a kind of failure came that is not among those named.
func onlyOf(t *testing.T, what string, count map[scheduler.Kind]int, kinds ...scheduler.Kind) {
	t.Helper()
	t.Logf("%s: %d done, else %v", what, count[""], count)
	for k, n := range count {
		if k != "" && !slices.Contains(kinds, k) {
			t.Errorf("%s: %d times %s", what, n, k)
		}
	}
}

// livePackets are the live packets of the days, each visit once.
func livePackets(t *testing.T, s *site, from, to scheduler.Date) []scheduler.Packet {
	t.Helper()
	list, err := s.store.PacketList(t.Context(), from, to, false)
	if err != nil {
		t.Fatal(err)
	}
	list = slices.DeleteFunc(list, func(p scheduler.Packet) bool { return !p.State.Live() })
	visits := map[int64]int64{}
	days := map[string]int64{}
	for _, p := range list {
		day := fmt.Sprintf("crew %d on %s", p.CrewID, p.Day)
		if days[day] != 0 {
			t.Errorf("%s has packets %d and %d", day, days[day], p.ID)
		}
		days[day] = p.ID
		for _, st := range p.Stops {
			if st.VisitID != 0 && visits[st.VisitID] != 0 {
				t.Errorf("visit %d is in packets %d and %d", st.VisitID, visits[st.VisitID], p.ID)
			}
			visits[st.VisitID] = p.ID
		}
	}
	return list
}

// Dispatchers who build the same days, issue what the others replace, or put
// one visit into two packets at the same moment: nothing is booked twice.
func TestPacketsAreBuiltAndIssuedAtOnce(t *testing.T) {
	s := newSite(t)
	ctx := t.Context()
	from, to := scheduler.NewDate(2026, 12, 1), scheduler.NewDate(2026, 12, 4)
	drafts := planned(t, s)
	build := func() error {
		_, err := jobs.Pack{Store: s.store, Now: now}.Run(ctx, jobs.PackRequest{From: from, Days: 4, Replace: true, Iterations: 20, Actor: "test"})
		return err
	}
	onlyOf(t, "six builds", together(6, func(int) error { return build() }), scheduler.Clash)
	if list := livePackets(t, s, from, to); len(list) == 0 {
		t.Error("no packet is left")
	}
	for range 3 {
		drafts = livePackets(t, s, from, to)
		onlyOf(t, "builds against issues", together(2+2*len(drafts), func(i int) error {
			if i < 2 {
				return build()
			}
			p := drafts[(i-2)%len(drafts)]
			to := scheduler.PacketIssued
			if p.State != scheduler.PacketDraft {
				to = scheduler.PacketRecalled
			}
			_, err := s.store.SetPacketState(ctx, p.ID, p.Revision, to, by())
			return err
		}), scheduler.Clash, scheduler.Stale)
		livePackets(t, s, from, to)
	}
	drafts = livePackets(t, s, from, to)
	one := firstTree(t, drafts[0])
	for _, p := range drafts { // the visit comes free
		if _, err := s.store.SetPacketState(ctx, p.ID, p.Revision, scheduler.PacketRecalled, by()); err != nil {
			t.Fatal(err)
		}
	}
	saved := make([]int64, 12)
	count := together(len(saved), func(i int) error {
		p := drafts[0]
		p.Day, p.Stops = to.AddDays(1+i), []scheduler.Stop{{Seq: 1, Kind: scheduler.StopTree, VisitID: one.VisitID, Arrive: 480, Work: 20}}
		list, err := s.store.SavePackets(ctx, []scheduler.Packet{p}, p.Day, p.Day, false, by())
		if err == nil {
			saved[i] = list[0].ID
		}
		return err
	})
	if onlyOf(t, "one visit for twelve days", count, scheduler.Clash); count[""] != 1 {
		t.Errorf("%d packets have visit %d", count[""], one.VisitID)
	}
	onlyOf(t, "a recalled packet is not issued though it holds the visit", together(1, func(int) error {
		p, err := s.store.Packet(ctx, drafts[0].ID)
		if err != nil {
			return err
		}
		_, err = s.store.SetPacketState(ctx, p.ID, p.Revision, scheduler.PacketIssued, by())
		if err == nil {
			t.Error("two packets hold one visit")
		}
		return err
	}), scheduler.Clash)
}

// Two drafts of one year are adopted at once, each by ten people: each is
// adopted once, and one of them is the year's plan at the end.
func TestPlansAreAdoptedAtOnce(t *testing.T) {
	s := newSite(t)
	var plans [2]scheduler.Plan
	for i := range plans {
		res, err := jobs.Plan{Store: s.store, Now: now}.Run(t.Context(), jobs.PlanRequest{Year: 2026, Actor: "test"})
		if err != nil {
			t.Fatal(err)
		}
		if plans[i], err = s.store.Plan(t.Context(), res.Plan); err != nil {
			t.Fatal(err)
		}
	}
	won := make([]int, 20)
	count := together(len(won), func(i int) error {
		p := plans[i%2]
		err := s.store.AdoptPlan(t.Context(), p.ID, p.Revision, by())
		if err == nil {
			won[i] = 1
		}
		return err
	})
	onlyOf(t, "twenty adoptions", count, scheduler.Stale, scheduler.Clash)
	adopted := 0
	for i, p := range plans {
		now, err := s.store.Plan(t.Context(), p.ID)
		if err != nil {
			t.Fatal(err)
		}
		if now.State == scheduler.PlanAdopted {
			adopted++
		}
		wins := 0
		for k := i; k < len(won); k += 2 {
			wins += won[k]
		}
		if wins != 1 || now.State == scheduler.PlanDraft {
			t.Errorf("plan %d: adopted %d times, is %s", p.ID, wins, now.State)
		}
	}
	if adopted != 1 {
		t.Errorf("%d plans of the year are adopted", adopted)
	}
	path := fmt.Sprintf("/api/v1/plans/%d/adopt", plans[0].ID)
	s.send(t, "POST", path, nil).want(t, http.StatusPreconditionRequired)
	a := s.send(t, "POST", path, nil, "If-Match", `"1"`).want(t, http.StatusPreconditionFailed)
	var problem struct{ Current scheduler.Plan }
	if a.into(t, &problem); problem.Current.ID != plans[0].ID || problem.Current.State == scheduler.PlanDraft || a.Header.Get("ETag") == `"1"` {
		t.Errorf("the answer shows %+v, tag %s", problem.Current, a.Header.Get("ETag"))
	}
}

// A crew records its trees while the dispatcher edits the packet. Every record
// is taken, and what was recorded is finished in the packet.
func TestCrewRecordsWhileThePacketIsEdited(t *testing.T) {
	s := newSite(t)
	ctx := t.Context()
	list := handmade(t, s, 1, 20)
	p, err := s.store.SetPacketState(ctx, list[0].ID, list[0].Revision, scheduler.PacketIssued, by())
	if err != nil {
		t.Fatal(err)
	}
	var trees []scheduler.Stop
	for _, st := range p.Stops {
		if st.Kind == scheduler.StopTree {
			trees = append(trees, st)
		}
	}
	verbs := testVerbs(s.store)
	done := make(chan struct{})
	var edits map[scheduler.Kind]int
	var wg sync.WaitGroup
	wg.Go(func() {
		defer close(done)
		onlyOf(t, "records", together(len(trees), func(i int) error { return recordOf(ctx, s, verbs.Record, p.ID, trees[i], i) }))
	})
	wg.Go(func() {
		edits = together(4, func(i int) error {
			for n := i; ; n++ {
				select {
				case <-done:
					return nil
				default:
				}
				now, err := s.store.Packet(ctx, p.ID)
				if err != nil {
					return err
				}
				locked := n%2 == 0
				e := scheduler.StopEdit{Locked: &locked}
				if n%3 == 0 {
					e = scheduler.StopEdit{To: 1 + n%len(now.Stops)}
				}
				_, err = verbs.EditPacket(ctx, p.ID, now.Revision, now.Stops[n%len(now.Stops)].ID, e, by())
				if k := scheduler.KindOf(err); err != nil && k != scheduler.Stale && k != scheduler.Clash && k != scheduler.Infeasible {
					return err
				}
			}
		})
	})
	wg.Wait()
	onlyOf(t, "edits", edits)
	now, err := s.store.Packet(ctx, p.ID)
	if err != nil {
		t.Fatal(err)
	}
	if now.State != scheduler.PacketCompleted || len(now.Stops) != len(p.Stops) {
		t.Errorf("the packet is %s with %d stops of %d", now.State, len(now.Stops), len(p.Stops))
	}
	for _, st := range now.Stops {
		if st.Kind != scheduler.StopTree {
			continue
		}
		v, err := s.store.Visit(ctx, st.VisitID)
		if err != nil {
			t.Fatal(err)
		}
		if st.State != scheduler.StopDone || v.Progress != scheduler.Completed {
			t.Errorf("stop %d is %s, its visit %s", st.Seq, st.State, v.Progress)
		}
	}
}

// A desk that was too late says what the packet is now.
func TestDeskShowsThePacketAfterAClash(t *testing.T) {
	s := newSite(t)
	p := handmade(t, s, 1, 2)[0]
	a := s.post(t, fmt.Sprintf("/packets/%d/state", p.ID), "state=recalled&revision=99")
	want := fmt.Sprintf(`Packet %d is now draft, with 2 stops. <a href="/packets/%d">`, p.ID, p.ID)
	if a.want(t, http.StatusPreconditionFailed); !strings.Contains(string(a.body), want) {
		t.Errorf("want %q in\n%s", want, a.body)
	}
}

func recordOf(ctx context.Context, s *site, record func(context.Context, scheduler.WorkRecord, scheduler.Stamp) (scheduler.RecordAnswer, error),
	packet int64, st scheduler.Stop, n int,
) error {
	v, err := s.store.Visit(ctx, st.VisitID)
	if err != nil {
		return err
	}
	_, err = record(ctx, scheduler.WorkRecord{
		ID: fmt.Sprintf("5c1f3a50-0000-4000-8000-%012d", n), VisitID: v.ID, TreeID: v.TreeID, PacketID: packet, By: "R. Osei",
		Start: noon.Add(-10 * time.Minute), Finish: noon, Kinds: v.Kinds, Outcome: scheduler.OutcomeDone,
	}, by())
	return err
}
