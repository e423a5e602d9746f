package db

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"limbround/scheduler"
)

// FuzzCrewWords: every part of the text is either read or named as a fault, and
// what was read comes back the same when it is written again.
func FuzzCrewWords(f *testing.F) {
	for _, s := range []string{"", "first aid=2027-01-31", "lift=2027-02-30; x", "a=b=2026-01-01;;=2026-01-01", "ground, lift line_clearance", "Lift\tflying;"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		parts := 0
		for p := range strings.SplitSeq(text, ";") {
			if strings.TrimSpace(p) != "" {
				parts++
			}
		}
		tickets, faults := readTickets(text)
		if len(tickets)+len(faults) != parts {
			t.Errorf("%q: %d tickets and %d faults from %d parts", text, len(tickets), len(faults), parts)
		}
		var again []string
		for _, k := range tickets {
			again = append(again, k.What+"="+k.Expires.String())
		}
		back, bad := readTickets(strings.Join(again, ";"))
		if len(bad) > 0 || cmp.Diff(tickets, back) != "" && len(tickets) > 0 {
			t.Errorf("%q: read %v, written and read again %v %v", text, tickets, back, bad)
		}
		skills, bad := readSkills(text)
		for _, s := range skills {
			if s != string(scheduler.Ground) && s != string(scheduler.Lift) && s != string(scheduler.LineClearance) {
				t.Errorf("%q: skill %q", text, s)
			}
		}
		if len(skills) == 0 && len(bad) == 0 && strings.Trim(text, " ,;\t") != "" {
			t.Errorf("%q: neither skills nor faults", text)
		}
	})
}

// TestGridFindsTheNearestSpot compares the grid with looking at every spot.
func TestGridFindsTheNearestSpot(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		g := newGrid()
		for i := range 40 {
			c := candidate{line: int32(i + 1), x: r.Float64()*4 - 2, y: r.Float64()*4 - 2, standing: r.IntN(2) == 0}
			g.add(&c, 0)
		}
		x, y := r.Float64()*4-2, r.Float64()*4-2
		var want *spot
		apart := math.Inf(1)
		for i := range g.spots {
			s := &g.spots[i]
			d := math.Hypot(s.x-x, s.y-y)
			if d <= spotMetres && (want == nil || s.standing && !want.standing || s.standing == want.standing && d < apart) {
				want, apart = s, d
			}
		}
		if got, at := g.nearest(x, y); got != want || want != nil && at != apart {
			t.Fatalf("nearest to %.3f %.3f: got %+v, want %+v", x, y, got, want)
		}
	}
}
