package scheduler

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Stops stand on a line, 10 minutes apart; the depot is at 0. Stops 1 and 2 share a face.
func lineLeg(prev, next *Stop) (drive, setUp int) {
	at := func(s *Stop) int {
		if s == nil {
			return 0
		}
		return int(s.ID) * 10
	}
	drive = max(at(prev)-at(next), at(next)-at(prev))
	if next != nil && (next.ID > 2 || prev == nil || prev.ID > 2) {
		setUp = 8
	}
	return drive, setUp
}

func dayOf(ids ...int64) Packet {
	p := Packet{ID: 7, State: PacketDraft, Minutes: Minutes{Yard: 45, Slack: 480 - 45}}
	for _, id := range ids {
		p.Stops = append(p.Stops, Stop{ID: id, Kind: StopTree, Work: 20, State: StopPlanned, Arrive: 420})
	}
	if err := p.retime(p.Stops, lineLeg); err != nil {
		panic(err)
	}
	return p
}

func TestPacketMove(t *testing.T) {
	p := dayOf(1, 2, 3)
	if err := p.Move(3, 1, lineLeg); err != nil {
		t.Fatal(err)
	}
	var ids []int64
	for i, s := range p.Stops {
		ids = append(ids, s.ID)
		if s.Seq != i+1 {
			t.Errorf("stop %d has place %d", s.ID, s.Seq)
		}
	}
	if diff := cmp.Diff([]int64{3, 1, 2}, ids); diff != "" {
		t.Error(diff)
	}
	want := Minutes{Yard: 45, Drive: 30 + 20 + 10 + 20, SetUp: 16, Work: 60, Slack: 480 - 45 - 80 - 16 - 60}
	if diff := cmp.Diff(want, p.Minutes); diff != "" {
		t.Error(diff)
	}
	if got := p.Stops[1].Arrive; got != p.Stops[0].Arrive+8+20+20 {
		t.Errorf("second stop arrives at %d", got)
	}
}

func TestPacketEditRefusals(t *testing.T) {
	for _, c := range []struct {
		name string
		do   func(*Packet) error
		want Kind
	}{
		{"locked", func(p *Packet) error { p.Stops[0].Locked = true; return p.Move(1, 2, lineLeg) }, Clash},
		{"done", func(p *Packet) error { p.Stops[0].State = StopDone; return p.Remove(1, lineLeg) }, Clash},
		{"completed", func(p *Packet) error { p.State = PacketCompleted; return p.Lock(1, true) }, Clash},
		{"unknown", func(p *Packet) error { return p.Remove(9, lineLeg) }, NotFound},
		{"place", func(p *Packet) error { return p.Move(1, 4, lineLeg) }, Invalid},
		{"too long", func(p *Packet) error {
			p.Minutes.Slack = 0
			return p.Move(2, 1, func(prev, next *Stop) (int, int) { return 100, 8 })
		}, Infeasible},
	} {
		p := dayOf(1, 2, 3)
		before := dayOf(1, 2, 3).Minutes
		if got := KindOf(c.do(&p)); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
		if c.want != Infeasible && p.Minutes != before {
			t.Errorf("%s: minutes changed", c.name)
		}
	}
}

func TestPacketRemoveFreesTime(t *testing.T) {
	p := dayOf(1, 2, 3)
	slack := p.Minutes.Slack
	if err := p.Remove(3, lineLeg); err != nil {
		t.Fatal(err)
	}
	if len(p.Stops) != 2 || p.Minutes.Slack <= slack {
		t.Errorf("stops %d, slack %d after %d", len(p.Stops), p.Minutes.Slack, slack)
	}
}
