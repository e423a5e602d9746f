package storetest

import (
	"context"
	"errors"
	"slices"
	"testing"

	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

// submit hands in one record and answers why it was refused.
func (w *town) submit(r scheduler.WorkRecord) error {
	out, err := jobs.Record{Store: w, Now: w.clock}.Run(w.t.Context(), jobs.RecordRequest{Records: []scheduler.WorkRecord{r}, Actor: "card"})
	if err == nil && out.Answers[0].Answer == nil {
		err = scheduler.Errorf(out.Answers[0].Kind, "%s", out.Answers[0].Error)
	}
	return err
}

// attempt is a write that must fail as a whole.
type attempt struct {
	name string
	kind scheduler.Kind
	do   func() error
}

// fail makes each attempt and looks whether anything stayed behind.
func (w *town) fail(list []attempt) {
	w.t.Helper()
	before := w.picture()
	for _, a := range list {
		if err := a.do(); scheduler.KindOf(err) != a.kind {
			w.t.Errorf("%s: %v (%s), want %s", a.name, err, scheduler.KindOf(err), a.kind)
		}
		w.same(a.name, before, false)
	}
}

var errOther = errors.New("a defect in the decision")

// A record whose decision fails, or breaks a rule of the store, has never been.
func recordRollsBack(t *testing.T, w *town) {
	w.due()
	v := w.lead("PL-2")
	w.send(w.recordOf(1, w.lead("PL-3"), func(r *scheduler.WorkRecord) {
		r.Outcome = scheduler.OutcomePart
		r.Watch = []scheduler.WatchFinding{{What: "competing leader", Intent: scheduler.HoldTier}}
	}))
	n := 100
	decided := func(spoil func(*scheduler.RecordInput, *scheduler.RecordOutcome) error) func() error {
		n++
		rec := w.recordOf(n, v, func(r *scheduler.WorkRecord) { r.DBH = 160 })
		return func() error {
			_, err := w.Record(t.Context(), rec, func(in scheduler.RecordInput) (scheduler.RecordOutcome, error) {
				out := scheduler.RecordOutcome{Tree: in.Tree, Closes: []int64{v.ID}, Visits: in.Open}
				out.Tree.LastVisit, out.Tree.DBH = in.On, 160
				return out, spoil(&in, &out)
			}, w.stamp("card"))
			return err
		}
	}
	opened := func(kind scheduler.WorkKind, window scheduler.Window) scheduler.OpenedVisit {
		return scheduler.OpenedVisit{ActBy: w.now, Visit: scheduler.Visit{
			TreeID: v.TreeID, SiteID: v.SiteID, Kind: kind, Kinds: []scheduler.WorkKind{kind}, Window: window, State: scheduler.Due,
			Skill: scheduler.Ground, Origin: scheduler.FromRecord,
		}}
	}
	watched := func(in *scheduler.RecordInput, letter, what string, place int) scheduler.WatchItem {
		return scheduler.WatchItem{
			TreeID: v.TreeID, Letter: letter, What: what, Intent: scheduler.WatchOnly, SeenOn: in.On, RecordID: in.Record.ID, Place: place,
		}
	}
	w.fail([]attempt{
		{"the decision refuses", scheduler.Infeasible, decided(func(*scheduler.RecordInput, *scheduler.RecordOutcome) error {
			return scheduler.Errorf(scheduler.Infeasible, "no")
		})},
		{"the decision fails", scheduler.Internal, decided(func(*scheduler.RecordInput, *scheduler.RecordOutcome) error { return errOther })},
		{"a dose above the whole crown", scheduler.Invalid, decided(func(_ *scheduler.RecordInput, out *scheduler.RecordOutcome) error {
			out.Tree.DoseUsed = 101
			return nil
		})},
		{"a watch item without a name", scheduler.Invalid, decided(func(in *scheduler.RecordInput, out *scheduler.RecordOutcome) error {
			out.Tree.Watch = append(out.Tree.Watch, watched(in, "A", "", 0))
			return nil
		})},
		{"two watch items of one letter", scheduler.Clash, decided(func(in *scheduler.RecordInput, out *scheduler.RecordOutcome) error {
			out.Tree.Watch = append(out.Tree.Watch, watched(in, "A", "union", 0), watched(in, "A", "low limb", 1))
			return nil
		})},
		{"two visits of one kind", scheduler.Internal, decided(func(in *scheduler.RecordInput, out *scheduler.RecordOutcome) error {
			out.Visits = append(slices.Clone(in.Open), in.Open[0])
			return nil
		})},
		{"a visit held for no reason", scheduler.Invalid, decided(func(in *scheduler.RecordInput, out *scheduler.RecordOutcome) error {
			out.Visits = slices.Clone(in.Open)
			out.Visits[0].State, out.Visits[0].Hold = scheduler.Held, ""
			return nil
		})},
		{"a window that ends before it begins", scheduler.Invalid, decided(func(_ *scheduler.RecordInput, out *scheduler.RecordOutcome) error {
			out.Opens = append(out.Opens, opened(scheduler.Support, scheduler.Window{Earliest: w.day(3), Due: w.day(2), Latest: w.day(1)}))
			return nil
		})},
		{"no such packet", scheduler.Invalid, func() error {
			return w.submit(w.recordOf(200, v, func(r *scheduler.WorkRecord) { r.PacketID = 999_999 }))
		}},
		{"no such visit", scheduler.Invalid, func() error {
			return w.submit(w.recordOf(201, v, func(r *scheduler.WorkRecord) { r.VisitID = 999_999 }))
		}},
		{"other content under a known id", scheduler.Clash, func() error {
			return w.submit(w.recordOf(1, w.lead("PL-3"), nil))
		}},
		{"nobody's record", scheduler.Invalid, func() error {
			_, err := w.Record(t.Context(), w.recordOf(202, v, nil), func(in scheduler.RecordInput) (scheduler.RecordOutcome, error) {
				return scheduler.RecordOutcome{Tree: in.Tree, Visits: in.Open}, nil
			}, scheduler.Stamp{At: w.now})
			return err
		}},
		{"a sender who hung up", scheduler.Unavailable, func() error {
			ctx, cancel := context.WithCancel(t.Context())
			cancel()
			_, err := w.Record(ctx, w.recordOf(203, v, nil), func(in scheduler.RecordInput) (scheduler.RecordOutcome, error) {
				return scheduler.RecordOutcome{Tree: in.Tree, Visits: in.Open}, nil
			}, w.stamp("card"))
			return err
		}},
	})
	before := w.picture()
	n = 100 // the ids of refused records are free
	w.must(decided(func(*scheduler.RecordInput, *scheduler.RecordOutcome) error { return nil })())
	if difference(before, w.picture()) == "" {
		t.Error("a record that is taken changes nothing that the contract sees")
	}
}

// Packets, plans and passes are written whole or not at all.
func writesRollBack(t *testing.T, w *town) {
	ctx := t.Context()
	w.due()
	a, b := w.lead("PL-2").ID, w.lead("PL-3").ID
	p := w.pack("l1", 3, a)
	dispatcher, nobody := w.stamp("dispatcher"), scheduler.Stamp{At: w.now}
	save := func(replace bool, list ...scheduler.Packet) func() error {
		return func() error {
			got, err := w.SavePackets(ctx, list, w.day(0), w.day(9), replace, dispatcher)
			if err != nil && got != nil {
				t.Errorf("a refusal came with packets: %+v", got)
			}
			return err
		}
	}
	odd := func(spoil func(*scheduler.Packet)) scheduler.Packet {
		x := w.packetOf("t1", 5, b)
		spoil(&x)
		return x
	}
	edit := func(spoil func(*scheduler.Packet) error) func() error {
		return func() error {
			_, err := w.EditPacket(ctx, p.ID, p.Revision, spoil, dispatcher)
			return err
		}
	}
	planned := func(l ...scheduler.PlanLine) func() error {
		return func() error {
			_, err := w.SavePlan(ctx, scheduler.Plan{Year: 2027, MadeOn: w.today(), Lines: l}, w.stamp("manager"))
			return err
		}
	}
	monday := w.today().Monday()
	line := func(visit int64, week scheduler.Date, carried string) scheduler.PlanLine {
		return scheduler.PlanLine{VisitID: visit, Week: week, Skill: scheduler.Ground, Carried: carried}
	}
	draft, err := w.SavePlan(ctx, scheduler.Plan{Year: 2030, MadeOn: w.today()}, w.stamp("manager"))
	w.must(err)
	w.fail([]attempt{
		{"the second packet takes a visit of a live one", scheduler.Clash, save(false, w.packetOf("t1", 4, b), w.packetOf("t1", 5, a))},
		{"both packets take one visit", scheduler.Clash, save(false, w.packetOf("t1", 4, b), w.packetOf("t1", 5, b))},
		{"one packet takes it twice", scheduler.Clash, save(false, w.packetOf("t1", 4, b, b))},
		{"two packets of one crew-day", scheduler.Clash, save(false, w.packetOf("t1", 4, b), w.packetOf("t1", 4))},
		{"drafts are recalled only for packets that come", scheduler.Clash, save(true, w.packetOf("t1", 4, a), w.packetOf("l2", 4, a))},
		{"no such crew", scheduler.Invalid, save(false, odd(func(x *scheduler.Packet) { x.CrewID = 999_999 }))},
		{"no such visit", scheduler.Invalid, save(false, odd(func(x *scheduler.Packet) { x.Stops[0].VisitID = 999_999 }))},
		{"a tree stop without a visit", scheduler.Invalid, save(false, odd(func(x *scheduler.Packet) { x.Stops[0].VisitID = 0 }))},
		{"a stop before the first", scheduler.Invalid, save(false, odd(func(x *scheduler.Packet) { x.Stops[0].Seq = 0 }))},
		{"two stops at one place of the day", scheduler.Clash, save(false, odd(func(x *scheduler.Packet) {
			x.Stops = append(x.Stops, scheduler.Stop{Seq: 1, Kind: scheduler.StopBreak, Arrive: 600, Work: 30})
		}))},
		{"an edit refuses", scheduler.Infeasible, edit(func(p *scheduler.Packet) error {
			p.Stops[0].Arrive, p.Bound = 700, 1
			return scheduler.Errorf(scheduler.Infeasible, "the day is full")
		})},
		{"an edit fails", scheduler.Internal, edit(func(p *scheduler.Packet) error {
			p.Stops = nil
			return errOther
		})},
		{"an edit to no hour of the day", scheduler.Invalid, edit(func(p *scheduler.Packet) error {
			p.Stops[0].Arrive = 5000
			return nil
		})},
		{"an order by nobody", scheduler.Invalid, func() error {
			_, err := w.SetPacketState(ctx, p.ID, p.Revision, scheduler.PacketIssued, nobody)
			return err
		}},
		{"a step that is not allowed", scheduler.Clash, func() error {
			_, err := w.SetPacketState(ctx, p.ID, p.Revision, scheduler.PacketCompleted, dispatcher)
			return err
		}},
		{"a plan of no visit", scheduler.Invalid, planned(line(a, monday, ""), line(999_999, monday, ""))},
		{"a plan with a visit twice", scheduler.Clash, planned(line(a, monday, ""), line(a, 0, "no time left"))},
		{"a week that begins on a Tuesday", scheduler.Invalid, planned(line(a, monday+1, ""))},
		{"a week and a reason", scheduler.Invalid, planned(line(a, monday, "no time left"))},
		{"neither week nor reason", scheduler.Invalid, planned(line(a, 0, ""))},
		{"a plan adopted by nobody", scheduler.Invalid, func() error { return w.AdoptPlan(ctx, draft.ID, 1, nobody) }},
		{"a pass that wants twins", scheduler.Internal, func() error {
			return w.pass(w.today(), nil, func(in *scheduler.DueInput) []scheduler.Visit { return append(plainVisit(in), plainVisit(in)...) })
		}},
		{"a pass with a window that ends before it begins", scheduler.Invalid, func() error {
			return w.pass(w.today(), nil, func(in *scheduler.DueInput) []scheduler.Visit {
				v := plainVisit(in)
				if in.Tree.Ref == "PL-4" {
					v[0].Window.Latest = v[0].Window.Due - 1
				}
				return v
			})
		}},
	})
	w.must(edit(func(p *scheduler.Packet) error { return p.Lock(p.Stops[0].ID, true) })())
	w.must(planned(line(a, monday, ""), line(b, 0, "no time left"))())
	w.must(save(true, w.packetOf("t1", 4, b))())
	if now, err := w.Packet(ctx, p.ID); err != nil || now.State != scheduler.PacketDraft {
		t.Errorf("the draft with a locked stop is %s, %v", now.State, err)
	}
}
