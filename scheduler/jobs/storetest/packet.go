package storetest

import (
	"slices"
	"sync"
	"testing"
	"time"

	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

// day is a day ahead of the town's today.
func (w *town) day(ahead int) scheduler.Date { return w.today().AddDays(ahead) }

// packetOf is a plain packet: visits in the given order, 30 minutes each.
func (w *town) packetOf(crew string, ahead int, visits ...int64) scheduler.Packet {
	p := scheduler.Packet{
		Day: w.day(ahead), CrewID: w.crewNamed(crew).ID, Bound: 60,
		Minutes: scheduler.Minutes{Yard: 45, Break: 30, Drive: 10, Work: 30 * len(visits), Slack: 480 - 85 - 30*len(visits)},
	}
	for i, id := range visits {
		p.Stops = append(p.Stops, scheduler.Stop{Seq: i + 1, Kind: scheduler.StopTree, VisitID: id, Arrive: 470 + 30*i, Drive: 5, Work: 30})
	}
	return p
}

// pack saves a plain packet and returns it.
func (w *town) pack(crew string, ahead int, visits ...int64) scheduler.Packet {
	w.t.Helper()
	saved, err := w.SavePackets(w.t.Context(), []scheduler.Packet{w.packetOf(crew, ahead, visits...)}, w.day(ahead), w.day(ahead), false, w.stamp("dispatcher"))
	w.must(err)
	return saved[0]
}

// build runs the packer over days from today on.
func (w *town) build(ahead, days int, replace bool) jobs.PackResult {
	w.t.Helper()
	r, err := jobs.Pack{Store: w, Now: w.clock}.Run(w.t.Context(), jobs.PackRequest{
		From: w.day(ahead), Days: days, Replace: replace, Seed: 1, Iterations: 200, Actor: "dispatcher",
	})
	w.must(err)
	return r
}

// packetWith finds the packet that holds a visit.
func (w *town) packetWith(ids []int64, visit int64) scheduler.Packet {
	w.t.Helper()
	for _, id := range ids {
		p, err := w.Packet(w.t.Context(), id)
		w.must(err)
		if slices.ContainsFunc(p.Stops, func(s scheduler.Stop) bool { return s.VisitID == visit }) {
			return p
		}
	}
	w.t.Fatalf("none of the packets %v holds visit %d", ids, visit)
	return scheduler.Packet{}
}

// Every visit that came into question is in one packet, or left out with a reason.
func packetsAreBuilt(t *testing.T, w *town) {
	ctx := t.Context()
	w.due()
	_, err := jobs.Pack{Store: w, Now: w.clock}.Run(ctx, jobs.PackRequest{From: w.day(-1), Days: 1, Actor: "dispatcher"})
	w.wants(scheduler.Invalid, err)
	w.now = time.Date(2027, time.January, 4, 8, 0, 0, 0, time.UTC)
	w.due()
	w.plan(2027)
	plan, err := w.PlanInForce(ctx, 2027)
	w.must(err)
	in, err := w.PackInput(ctx, plan.ID, w.day(0), w.day(4), false)
	w.must(err)
	if len(in.Items) == 0 {
		t.Fatal("nothing to pack in the first week")
	}
	first := w.build(0, 5, false)
	if first.Stops+len(first.Unserved) != len(in.Items) || first.Packets == 0 || first.Plan != plan.ID {
		t.Fatalf("%d visits, %+v", len(in.Items), first)
	}
	if first.Bound <= 0 || first.Bound > first.Minutes.Paid() {
		t.Errorf("bound %d, paid %d", first.Bound, first.Minutes.Paid())
	}
	for _, u := range first.Unserved {
		if u.Reason == "" {
			t.Errorf("visit %d is left out without a reason", u.VisitID)
		}
	}
	if again := w.build(0, 5, false); again.Stops != 0 {
		t.Errorf("visits are packed twice: %+v", again)
	}
	if anew := w.build(0, 5, true); anew.Stops != first.Stops || anew.Minutes != first.Minutes {
		t.Errorf("built anew: %+v, before: %+v", anew, first)
	}
}

func (w *town) move(p scheduler.Packet, to scheduler.PacketState) scheduler.Packet {
	w.t.Helper()
	p, err := w.SetPacketState(w.t.Context(), p.ID, p.Revision, to, w.stamp("dispatcher"))
	w.must(err)
	return p
}

// Two dispatchers put the same visit into two packets at the same moment: one wins.
func oneLivePacket(t *testing.T, w *town) {
	ctx := t.Context()
	w.due()
	v := w.lead("PL-2")
	const tries = 8
	errs := make([]error, tries)
	var packets [tries]scheduler.Packet
	for i := range packets {
		packets[i] = w.packetOf([]string{"t1", "l1"}[i%2], 3+i/2, v.ID)
	}
	var wg sync.WaitGroup
	for i := range tries {
		wg.Go(func() {
			_, errs[i] = w.SavePackets(ctx, packets[i:i+1], packets[i].Day, packets[i].Day, false, w.stamp("dispatcher"))
		})
	}
	wg.Wait()
	won := 0
	for _, err := range errs {
		if err == nil {
			won++
		} else {
			w.wants(scheduler.Clash, err)
		}
	}
	if won != 1 {
		t.Errorf("%d of %d packets hold the visit, want 1", won, tries)
	}
}

func packetLife(t *testing.T, w *town) {
	ctx := t.Context()
	w.due()
	a, b := w.lead("PL-2"), w.lead("PL-3")
	p := w.pack("l1", 3, a.ID)
	_, err := w.SavePackets(ctx, []scheduler.Packet{w.packetOf("l1", 3, b.ID)}, w.day(3), w.day(3), false, w.stamp("dispatcher"))
	w.wants(scheduler.Clash, err) // one live packet for each crew and day

	in, err := w.PackInput(ctx, 0, w.day(3), w.day(3), false)
	w.must(err)
	if len(in.Busy) != 1 || in.Busy[0].CrewID != p.CrewID {
		t.Errorf("busy crew-days: %+v", in.Busy)
	}
	if in, err = w.PackInput(ctx, 0, w.day(3), w.day(3), true); err != nil || len(in.Busy) != 0 {
		t.Errorf("a draft is replaced when asked: %+v, %v", in.Busy, err)
	}
	saved, err := w.SavePackets(ctx, []scheduler.Packet{w.packetOf("l1", 3, b.ID, a.ID)}, w.day(3), w.day(3), true, w.stamp("dispatcher"))
	w.must(err)
	if old, err := w.Packet(ctx, p.ID); err != nil || old.State != scheduler.PacketRecalled {
		t.Errorf("the replaced draft is %s, %v", old.State, err)
	}
	p = saved[0]
	_, err = w.SetPacketState(ctx, p.ID, p.Revision, scheduler.PacketStarted, w.stamp("dispatcher"))
	w.wants(scheduler.Clash, err)
	_, err = w.SetPacketState(ctx, p.ID, p.Revision+1, scheduler.PacketIssued, w.stamp("dispatcher"))
	w.wants(scheduler.Stale, err)
	p = w.move(p, scheduler.PacketIssued)
	p = w.move(p, scheduler.PacketWeatherHold)
	p = w.move(p, scheduler.PacketRecalled)
	if again := w.pack("t1", 4, a.ID, b.ID); len(again.Stops) != 2 || again.Stops[0].ID == 0 {
		t.Errorf("recalled visits are free again: %+v", again)
	}
	_, err = w.SetPacketState(ctx, 999, 1, scheduler.PacketIssued, w.stamp("dispatcher"))
	w.wants(scheduler.NotFound, err)
}

func packetEdits(t *testing.T, w *town) {
	ctx := t.Context()
	w.due()
	p := w.pack("l1", 3, w.lead("PL-2").ID, w.lead("PL-3").ID)
	leg := func(prev, next *scheduler.Stop) (int, int) { return 5, 8 }
	first := p.Stops[0].ID
	edited, err := w.EditPacket(ctx, p.ID, p.Revision, func(p *scheduler.Packet) error { return p.Move(first, 2, leg) }, w.stamp("dispatcher"))
	w.must(err)
	if edited.Stops[1].ID != first || edited.Revision != p.Revision+1 || edited.Minutes.SetUp != 16 {
		t.Errorf("after the move: %+v", edited)
	}
	_, err = w.EditPacket(ctx, p.ID, p.Revision, func(p *scheduler.Packet) error { return p.Lock(first, true) }, w.stamp("dispatcher"))
	w.wants(scheduler.Stale, err)
	edited, err = w.EditPacket(ctx, p.ID, edited.Revision, func(p *scheduler.Packet) error { return p.Lock(first, true) }, w.stamp("dispatcher"))
	w.must(err)
	_, err = w.EditPacket(ctx, p.ID, edited.Revision, func(p *scheduler.Packet) error { return p.Remove(first, leg) }, w.stamp("dispatcher"))
	w.wants(scheduler.Clash, err)
	if in, err := w.PackInput(ctx, 0, w.day(3), w.day(3), true); err != nil || len(in.Busy) != 1 {
		t.Errorf("a draft with a locked stop stays: %+v, %v", in.Busy, err)
	}
	other := edited.Stops[0]
	edited, err = w.EditPacket(ctx, p.ID, edited.Revision, func(p *scheduler.Packet) error { return p.Remove(other.ID, leg) }, w.stamp("dispatcher"))
	w.must(err)
	if len(edited.Stops) != 1 || edited.Stops[0].Seq != 1 || !edited.Stops[0].Locked {
		t.Errorf("after the removal: %+v", edited.Stops)
	}
	if again := w.pack("t1", 3, other.VisitID); again.ID == 0 {
		t.Error("the removed visit is not free")
	}
}

func expiredTicket(t *testing.T, w *town) {
	w.due()
	p := w.pack("l2", 3, w.lead("PL-2").ID)
	_, err := w.SetPacketState(t.Context(), p.ID, p.Revision, scheduler.PacketIssued, w.stamp("dispatcher"))
	w.wants(scheduler.Clash, err)
}
