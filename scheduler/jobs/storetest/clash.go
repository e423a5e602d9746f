package storetest

import (
	"sync"
	"sync/atomic"
	"testing"

	"limbround/scheduler"
)

// atOnce runs n tries at the same moment and answers what became of each.
func atOnce(n int, try func(i int) error) []error {
	errs := make([]error, n)
	ready := make(chan struct{})
	var wg sync.WaitGroup
	for i := range n {
		wg.Go(func() {
			<-ready
			errs[i] = try(i)
		})
	}
	close(ready)
	wg.Wait()
	return errs
}

// oneWon fails the test unless one try came through and each other is of the kind.
func (w *town) oneWon(what string, kind scheduler.Kind, errs []error) {
	w.t.Helper()
	won := 0
	for _, err := range errs {
		if err == nil {
			won++
		} else if scheduler.KindOf(err) != kind {
			w.t.Errorf("%s: a loser got %v (%s), want %s", what, err, scheduler.KindOf(err), kind)
		}
	}
	if won != 1 {
		w.t.Errorf("%s: %d of %d came through, want 1", what, won, len(errs))
	}
}

const editors = 8

// Of all who change a packet as they saw it, one is heard. The others' changes
// are not even tried.
func packetEditClash(t *testing.T, w *town) {
	ctx := t.Context()
	w.due()
	p := w.pack("l1", 3, w.lead("PL-2").ID, w.lead("PL-3").ID)
	var tried atomic.Int32
	var answers [editors]scheduler.Packet
	edit := func(i int) error {
		var err error
		answers[i], err = w.EditPacket(ctx, p.ID, p.Revision, func(p *scheduler.Packet) error {
			tried.Add(1)
			p.Bound = 40 + i
			return p.Lock(p.Stops[i%2].ID, true)
		}, w.stamp("dispatcher"))
		return err
	}
	errs := atOnce(editors, edit)
	w.oneWon("edits", scheduler.Stale, errs)
	now, err := w.Packet(ctx, p.ID)
	w.must(err)
	if tried.Load() != 1 || now.Revision != p.Revision+1 {
		t.Errorf("%d edits were tried, revision %d to %d", tried.Load(), p.Revision, now.Revision)
	}
	for i, err := range errs {
		if err == nil && (now.Bound != 40+i || !now.Stops[i%2].Locked || now.Stops[1-i%2].Locked || answers[i].Revision != now.Revision) {
			t.Errorf("the packet is not what editor %d made of it: %+v", i, now)
		}
	}

	p = now
	errs = atOnce(editors, func(i int) error { // some edit, some issue, one recalls
		if i%2 == 0 {
			return edit(i)
		}
		to := scheduler.PacketIssued
		if i == 1 {
			to = scheduler.PacketRecalled
		}
		_, err := w.SetPacketState(ctx, p.ID, p.Revision, to, w.stamp("dispatcher"))
		return err
	})
	w.oneWon("edits and orders", scheduler.Stale, errs)
	if now, err = w.Packet(ctx, p.ID); err != nil || now.Revision != p.Revision+1 {
		t.Errorf("revision %d to %d, %v", p.Revision, now.Revision, err)
	}
	before := w.picture()
	_, err = w.SetPacketState(ctx, p.ID, p.Revision, scheduler.PacketRecalled, w.stamp("dispatcher"))
	w.wants(scheduler.Stale, err)
	w.wants(scheduler.Stale, edit(0))
	_, err = w.EditPacket(ctx, 999_999, 1, func(*scheduler.Packet) error { return nil }, w.stamp("dispatcher"))
	w.wants(scheduler.NotFound, err)
	w.same("orders on an older packet", before, false)
}

// A record that comes in while a dispatcher looks at a packet makes what the
// dispatcher saw an old state.
func recordBeatsEdit(t *testing.T, w *town) {
	ctx := t.Context()
	w.due()
	v := w.lead("PL-2")
	p := w.move(w.pack("l1", 0, v.ID, w.lead("PL-3").ID), scheduler.PacketIssued)
	w.send(w.recordOf(1, v, func(r *scheduler.WorkRecord) { r.PacketID, r.CrewID = p.ID, p.CrewID }))
	_, err := w.EditPacket(ctx, p.ID, p.Revision, func(p *scheduler.Packet) error { return p.Lock(p.Stops[1].ID, true) }, w.stamp("dispatcher"))
	w.wants(scheduler.Stale, err)
	now, err := w.Packet(ctx, p.ID)
	w.must(err)
	if now.State != scheduler.PacketStarted || now.Stops[0].State != scheduler.StopDone || now.Stops[1].State != scheduler.StopPlanned {
		t.Errorf("after the first record: %+v", now)
	}
}

// One plan of a year is adopted, whoever else adopts at the same moment.
func planAdoptionClash(t *testing.T, w *town) {
	ctx := t.Context()
	w.due()
	draft := w.plan(2027)
	errs := atOnce(editors, func(int) error { return w.AdoptPlan(ctx, draft.Plan, 1, w.stamp("manager")) })
	w.oneWon("adoptions of one draft", scheduler.Stale, errs)

	var drafts []int64
	for range editors / 2 {
		drafts = append(drafts, w.plan(2027).Plan)
	}
	errs = atOnce(editors/2, func(i int) error { return w.AdoptPlan(ctx, drafts[i], 1, w.stamp("manager")) })
	for i, err := range errs {
		if err != nil {
			t.Errorf("adopt draft %d: %v", i, err)
		}
	}
	states := map[scheduler.PlanState]int{}
	for _, p := range w.picture().Plans {
		states[p.State]++
	}
	if states[scheduler.PlanAdopted] != 1 || states[scheduler.PlanSuperseded] != editors/2 {
		t.Errorf("plans of the year: %v", states)
	}

	versions := map[int]bool{}
	var mu sync.Mutex
	errs = atOnce(editors, func(int) error {
		p, err := w.SavePlan(ctx, scheduler.Plan{Year: 2028, MadeOn: w.today()}, w.stamp("manager"))
		mu.Lock()
		defer mu.Unlock()
		versions[p.Version] = true
		return err
	})
	for _, err := range errs {
		w.must(err)
	}
	if len(versions) != editors || !versions[1] || !versions[editors] {
		t.Errorf("versions saved at once: %v", versions)
	}
}

// Records of one tree sent at the same moment take their turn: each sees what
// the one before it wrote.
func recordsTakeTurns(t *testing.T, w *town) {
	w.due()
	before := w.treeNamed("PL-2").DoseUsed
	v := w.lead("PL-2")
	records := make([]scheduler.WorkRecord, editors)
	for i := range records {
		records[i] = w.recordOf(i, v, func(r *scheduler.WorkRecord) {
			r.VisitID, r.Outcome, r.LiveCrown = 0, scheduler.OutcomePart, 2
			r.Watch = []scheduler.WatchFinding{{What: "temporary branch", Intent: scheduler.RemoveLater}}
		})
	}
	for _, err := range atOnce(editors, func(i int) error { return w.submit(records[i]) }) {
		w.must(err)
	}
	ts, err := w.TreeByRef(t.Context(), "PL-2")
	w.must(err)
	letters := map[string]bool{}
	for _, x := range ts.Tree.Watch {
		letters[x.Letter] = true
	}
	if got := ts.Tree.DoseUsed - before; got != 2*editors && ts.Tree.DoseUsed != 2*editors || len(letters) != editors {
		t.Errorf("dose %d to %d, letters %v", before, ts.Tree.DoseUsed, letters)
	}
}
