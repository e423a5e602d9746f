package storetest

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"limbround/scheduler"
	"limbround/scheduler/jobs"
)

// Twins does the same to two stores, a step at a time, and wants the same of
// both after each: the answer, and all that can be read but numbers of rows. The
// steps follow from the seed.
func Twins(t *testing.T, one, other Store, seed uint64, steps int) {
	pair := [2]*twin{{town: newTown(t, one)}, {town: newTown(t, other)}}
	for n := range steps {
		var said, seen [2]string
		for i, w := range pair {
			w.rand = rand.New(rand.NewPCG(seed, uint64(n)))
			said[i] = w.step()
			seen[i] = w.plain()
		}
		if said[0] != said[1] {
			t.Fatalf("seed %d, step %d: one store says\n%s\nthe other\n%s", seed, n, said[0], said[1])
		}
		if seen[0] != seen[1] {
			t.Fatalf("seed %d, step %d, %s:\n%s", seed, n, said[0], cmp.Diff(strings.Split(seen[0], "\n"), strings.Split(seen[1], "\n")))
		}
	}
}

// twin is a town to which things are done by the dice.
type twin struct {
	*town
	rand    *rand.Rand
	batches []int64 // applied
	records int
	sent    []scheduler.WorkRecord
}

func pick[T any](w *twin, list ...T) T { return list[w.rand.IntN(len(list))] }

// step does one thing and tells what came of it.
func (w *twin) step() string {
	switch w.rand.IntN(14) {
	case 0, 1, 2:
		return w.load("trees", w.some(w.treeRow)...)
	case 3:
		return w.load("history", w.some(w.pastRow)...)
	case 4:
		return w.load(w.groundRow())
	case 5, 6:
		return w.undo()
	case 7:
		w.days(w.rand.IntN(40))
		return w.night()
	case 8:
		return w.night()
	case 9, 10:
		return w.packet()
	default:
		return w.record()
	}
}

// load imports rows, the good ones of them.
func (w *twin) load(layer string, rows ...row) string {
	b := w.check(layer, rows...)
	said := fmt.Sprintf("import %s: %s", layer, told(&b.diff))
	for _, x := range b.diff.Examples {
		if layer == "trees" { // of other layers each store shows what it keeps
			said += fmt.Sprintf("\n%d %s: %s from %q to %q", x.Line, x.Ref, x.Field, x.Before, x.After)
		}
	}
	for _, x := range b.diff.Faults {
		rule, _, _ := strings.Cut(x.Rule, ":") // the rest names numbers
		said += fmt.Sprintf("\n%d %s: %s", x.Line, x.Field, rule)
	}
	for _, x := range b.diff.MergedInto {
		said += fmt.Sprintf("\n%d %s into %s: %s", x.Line, x.Ref, x.Into, x.Why)
	}
	if b.counts().Accepted == 0 {
		w.must(w.DiscardBatch(w.t.Context(), b.id, w.stamp("clerk")))
		return said + "\ndiscarded"
	}
	err := w.apply(&b)
	if err == nil {
		w.batches = append(w.batches, b.id)
	}
	return said + "\napplied: " + string(scheduler.KindOf(err))
}

// undo takes one of the imports back, the last ones rather than the first.
func (w *twin) undo() string {
	if len(w.batches) == 0 {
		return "nothing to take back"
	}
	at := max(w.rand.IntN(len(w.batches)), w.rand.IntN(len(w.batches)))
	u, err := w.UndoBatch(w.t.Context(), w.batches[at], w.stamp("clerk"))
	if err != nil {
		return "undo: " + string(scheduler.KindOf(err))
	}
	w.batches = slices.Delete(w.batches, at, at+1)
	return fmt.Sprintf("undo %s: %d removed, %d restored", u.Layer, u.Removed, u.Restored)
}

// night renews the visits: all of them, or those of changed trees.
func (w *twin) night() string {
	r, err := jobs.Due{Store: w, Now: w.clock}.Run(w.t.Context(), jobs.DueRequest{Full: w.rand.IntN(2) == 0, Actor: "night"})
	w.must(err)
	r.PolicyID, r.Looked, r.Written.Unchanged, r.Seconds = 0, 0, 0, 0 // who looks at more trees finds more unchanged
	return fmt.Sprintf("due: %+v", r)
}

// visits are the open visits that are work of ours, in an order without numbers.
func (w *twin) visits() []scheduler.Visit {
	w.t.Helper()
	var out []scheduler.Visit
	for _, p := range w.picture().Trees {
		for _, v := range p.Visits {
			if v.Progress == scheduler.Open && v.State != scheduler.NotOurs {
				out = append(out, v)
			}
		}
	}
	return out
}

// packet makes a packet, or does something with one.
func (w *twin) packet() string {
	ctx, by := w.t.Context(), w.stamp("dispatcher")
	list, err := w.PacketList(ctx, w.day(-300), w.day(300), false)
	w.must(err)
	visits := w.visits()
	if len(list) == 0 || len(visits) > 0 && w.rand.IntN(3) == 0 {
		var ids []int64
		for range min(len(visits), 1+w.rand.IntN(2)) {
			ids = append(ids, visits[w.rand.IntN(len(visits))].ID)
		}
		made, err := w.SavePackets(ctx, []scheduler.Packet{w.packetOf(pick(w, "t1", "l1", "l2"), w.rand.IntN(5), ids...)}, w.day(0), w.day(5), w.rand.IntN(2) == 0, by)
		return fmt.Sprintf("%d packets: %s", len(made), scheduler.KindOf(err))
	}
	p := list[w.rand.IntN(len(list))]
	if w.rand.IntN(3) == 0 && len(p.Stops) > 0 {
		stop := p.Stops[w.rand.IntN(len(p.Stops))].ID
		edit := pick(w, scheduler.StopEdit{Remove: true}, scheduler.StopEdit{To: 2}, scheduler.StopEdit{Locked: new(bool)})
		_, err := w.EditPacket(ctx, p.ID, p.Revision-w.rand.IntN(2), func(p *scheduler.Packet) error {
			return edit.Apply(p, stop, func(prev, next *scheduler.Stop) (int, int) { return 4, 3 })
		}, by)
		return fmt.Sprintf("edit: %s", scheduler.KindOf(err))
	}
	to := pick(w, scheduler.PacketIssued, scheduler.PacketIssued, scheduler.PacketStarted, scheduler.PacketRecalled, scheduler.PacketWeatherHold)
	_, err = w.SetPacketState(ctx, p.ID, p.Revision, to, by)
	return fmt.Sprintf("packet to %s: %s", to, scheduler.KindOf(err))
}

// record hands in a record, sometimes late, sometimes one that was sent before.
func (w *twin) record() string {
	if len(w.sent) > 0 && w.rand.IntN(6) == 0 {
		return "again: " + string(scheduler.KindOf(w.submit(w.sent[w.rand.IntN(len(w.sent))])))
	}
	visits := w.visits()
	if len(visits) == 0 {
		return "no visit to record"
	}
	w.records++
	r := w.recordOf(w.records, visits[w.rand.IntN(len(visits))], w.dice)
	reply := w.reply(r)
	if reply.Answer == nil {
		return fmt.Sprintf("record refused: %s %+v", reply.Kind, reply.Faults)
	}
	w.sent = append(w.sent, r)
	return fmt.Sprintf("record: closed %d, next %d, watch %d", len(reply.Answer.Closed), len(reply.Answer.Next), len(reply.Answer.Watch))
}
