package api_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"

	"limbround/scheduler"
)

const (
	clashClients  = 20
	clashAttempts = 2000
)

// attempt is one try of one client at one packet, and what came of it.
type attempt struct {
	act      string
	packet   int64
	revision int // that the change was made from
	removes  int64
	status   int
	tag      string
	now      *scheduler.Packet // after the change, or as it is instead
}

// dispatcher is one client at its desk.
type dispatcher struct {
	s       *site
	client  *http.Client
	rand    *rand.Rand
	packets []int64
	did     []attempt
}

// reply is what the server answers.
type reply struct {
	status int
	tag    string
	body   []byte
}

func (d *dispatcher) ask(ctx context.Context, method, path string, body any, tag string) (a reply, err error) {
	var r io.Reader
	if body != nil {
		b, err := json.Marshal(body)
		if err != nil {
			return a, err
		}
		r = bytes.NewReader(b)
	}
	req, err := http.NewRequestWithContext(ctx, method, d.s.URL+path, r)
	if err != nil {
		return a, err
	}
	req.Header.Set("Authorization", "Bearer "+d.s.manager)
	req.Header.Set("Content-Type", "application/json")
	if tag != "" {
		req.Header.Set("If-Match", tag)
	}
	res, err := d.client.Do(req)
	if err != nil {
		return a, err
	}
	defer res.Body.Close()
	a.status, a.tag = res.StatusCode, res.Header.Get("ETag")
	a.body, err = io.ReadAll(res.Body)
	return a, err
}

// try reads a packet and changes it as it was read.
func (d *dispatcher) try(ctx context.Context, last bool) error {
	which := d.rand.IntN(len(d.packets))
	path := fmt.Sprintf("/api/v1/packets/%d", d.packets[which])
	res, err := d.ask(ctx, "GET", path, nil, "")
	if err != nil {
		return err
	}
	var p scheduler.Packet
	if err := json.Unmarshal(res.body, &p); err != nil {
		return fmt.Errorf("read %s: %w: %s", path, err, res.body)
	}
	a := attempt{packet: p.ID, revision: p.Revision}
	method, body := "PATCH", any(nil)
	n := d.rand.IntN(100)
	if d.rand.IntN(8) > 0 { // each packet has its own sort of quarrel, so that quick changes do not win all of them
		n = [3]int{d.rand.IntN(12), 12 + d.rand.IntN(43), 55}[which%3]
	}
	if n < 12 || len(p.Stops) < 2 {
		next := scheduler.PacketIssued
		switch {
		case last:
			next = scheduler.PacketRecalled
		case p.State == scheduler.PacketIssued:
			next = scheduler.PacketWeatherHold
		}
		a.act, method, path, body = string(next), "POST", path+"/state", map[string]any{"state": next}
	} else {
		s := p.Stops[d.rand.IntN(len(p.Stops))]
		path += fmt.Sprintf("/stops/%d", s.ID)
		switch {
		case n < 14 && len(p.Stops) > 4:
			a.act, method, a.removes = "remove", "DELETE", s.ID
		case n < 55:
			a.act, body = "move", map[string]any{"to": 1 + d.rand.IntN(len(p.Stops))}
		default:
			a.act, body = "lock", map[string]any{"locked": !s.Locked}
		}
	}
	res, err = d.ask(ctx, method, path, body, res.tag)
	if err != nil {
		return err
	}
	a.status, a.tag = res.status, res.tag
	if a.status == http.StatusOK {
		err = json.Unmarshal(res.body, &a.now)
	} else {
		var problem struct{ Current *scheduler.Packet }
		err = json.Unmarshal(res.body, &problem)
		a.now = problem.Current
	}
	if err != nil || a.now == nil {
		return fmt.Errorf("%s %s: %d without the packet: %s, %w", method, path, a.status, res.body, err)
	}
	d.did = append(d.did, a)
	return nil
}

// handmade saves packets of equal size, one a day, from the site's open visits.
func handmade(t *testing.T, s *site, packets, stops int) []scheduler.Packet {
	t.Helper()
	visits, _, err := s.store.VisitList(t.Context(), scheduler.VisitFilter{}, 0, 500)
	if err != nil {
		t.Fatal(err)
	}
	visits = slices.DeleteFunc(visits, func(v scheduler.Visit) bool {
		return v.State == scheduler.Held || v.Window.Earliest > scheduler.DateOf(noon)
	})
	crews, err := s.store.Crews(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if len(visits) < packets*stops {
		t.Fatalf("%d visits for %d packets of %d stops", len(visits), packets, stops)
	}
	var list []scheduler.Packet
	for i := range packets {
		p := scheduler.Packet{
			Day: scheduler.DateOf(noon).AddDays(i), CrewID: crews[0].ID, Bound: 60,
			Minutes: scheduler.Minutes{Yard: 45, Break: 30, Work: 15 * stops, Slack: 480 - 75 - 15*stops},
		}
		for k := range stops {
			p.Stops = append(p.Stops, scheduler.Stop{Seq: k + 1, Kind: scheduler.StopTree, VisitID: visits[i*stops+k].ID, Arrive: 470 + 15*k, Work: 15})
		}
		list = append(list, p)
	}
	if list, err = s.store.SavePackets(t.Context(), list, list[0].Day, list[packets-1].Day, false, by()); err != nil {
		t.Fatal(err)
	}
	return list
}

// Twenty desks change the same packets two thousand times. Each revision has one
// change that made the next one; everybody else is told so, and shown the packet as it is.
func TestTwoThousandEditsClash(t *testing.T) {
	s := newSite(t)
	all := handmade(t, s, 3, 8)
	before := map[int64]scheduler.Packet{}
	var ids []int64
	for _, p := range all {
		before[p.ID] = p
		ids = append(ids, p.ID)
	}
	desks := make([]*dispatcher, clashClients)
	errs := make([]error, clashClients)
	transport := &http.Transport{MaxIdleConnsPerHost: clashClients}
	defer transport.CloseIdleConnections()
	var wg sync.WaitGroup
	for i := range desks {
		d := &dispatcher{s: s, client: &http.Client{Transport: transport}, rand: rand.New(rand.NewPCG(uint64(i), 7)), packets: ids}
		desks[i] = d
		wg.Go(func() {
			const each = clashAttempts / clashClients
			for n := 0; n < each && errs[i] == nil; n++ {
				errs[i] = d.try(t.Context(), n > each*9/10)
			}
		})
	}
	wg.Wait()
	var did []attempt
	for i, d := range desks {
		if errs[i] != nil {
			t.Fatal(errs[i])
		}
		did = append(did, d.did...)
	}
	table(t, did)
	holdClashes(t, did)
	for _, id := range ids {
		holdPacket(t, s, before[id], did)
	}
}

// holdClashes looks at each answer by itself.
func holdClashes(t *testing.T, did []attempt) {
	t.Helper()
	for _, a := range did {
		switch a.status {
		case http.StatusOK:
			if a.now.Revision != a.revision+1 {
				t.Errorf("%+v: a change made revision %d", a, a.now.Revision)
			}
		case http.StatusPreconditionFailed:
			if a.now.Revision <= a.revision {
				t.Errorf("%+v: stale, but it is at revision %d", a, a.now.Revision)
			}
		case http.StatusConflict:
			if a.now.Revision < a.revision {
				t.Errorf("%+v: it is at revision %d", a, a.now.Revision)
			}
		default:
			t.Errorf("%s of packet %d: status %d", a.act, a.packet, a.status)
		}
		if a.now.ID != a.packet || a.tag != fmt.Sprintf("%q", fmt.Sprint(a.now.Revision)) {
			t.Errorf("%s of packet %d: answered with packet %d, tag %s, revision %d", a.act, a.packet, a.now.ID, a.tag, a.now.Revision)
		}
	}
}

// holdPacket looks at what the changes have made of one packet.
func holdPacket(t *testing.T, s *site, before scheduler.Packet, did []attempt) {
	t.Helper()
	now, err := s.store.Packet(t.Context(), before.ID)
	if err != nil {
		t.Fatal(err)
	}
	winners := map[int]int{} // by the revision that they started from
	visits := map[int64]int{}
	for _, st := range before.Stops {
		visits[st.ID]++
	}
	for _, a := range did {
		if a.packet == before.ID && a.status == http.StatusOK {
			winners[a.revision]++
			delete(visits, a.removes)
		}
	}
	for rev := before.Revision; rev < now.Revision; rev++ {
		if winners[rev] != 1 {
			t.Errorf("packet %d: %d changes of revision %d succeeded", before.ID, winners[rev], rev)
		}
	}
	if len(winners) != now.Revision-before.Revision {
		t.Errorf("packet %d is at revision %d after %d changes", before.ID, now.Revision, len(winners))
	}
	for i, st := range now.Stops {
		visits[st.ID]--
		if st.Seq != i+1 {
			t.Errorf("packet %d: place %d says it is stop %d", before.ID, i+1, st.Seq)
		}
	}
	for id, n := range visits {
		if n != 0 {
			t.Errorf("packet %d: stop %d is there %d times too few", before.ID, id, n)
		}
	}
	lines, err := s.store.Audit(t.Context(), "packet", fmt.Sprint(before.ID), 0, 10000)
	if err != nil {
		t.Fatal(err)
	}
	if len(lines) != now.Revision {
		t.Errorf("packet %d: %d audit lines, revision %d", before.ID, len(lines), now.Revision)
	}
	if now.Revision < 20 {
		t.Errorf("packet %d was changed %d times: this is no contest", before.ID, now.Revision)
	}
}

// table prints what became of each kind of change.
func table(t *testing.T, did []attempt) {
	t.Helper()
	var b strings.Builder
	count := map[string]map[int]int{}
	for _, a := range did {
		for _, act := range []string{a.act, "all"} {
			if count[act] == nil {
				count[act] = map[int]int{}
			}
			count[act][a.status]++
		}
	}
	fmt.Fprintf(&b, "%d attempts from %d clients\n%-14s %6s %6s %6s", len(did), clashClients, "", "200", "412", "409")
	for _, act := range []string{"lock", "move", "remove", "issued", "weather_hold", "recalled", "all"} {
		fmt.Fprintf(&b, "\n%-14s %6d %6d %6d", act, count[act][200], count[act][412], count[act][409])
	}
	t.Log(b.String())
}
