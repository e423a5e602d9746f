package due

import (
	"fmt"
	"math/rand/v2"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"limbround/scheduler"
)

// TestEngineAgainstTheCrownItself draws 10,000 sites, trees and policies and
// walks each through its growing seasons: at the end of every season the crown
// is laid over the street, and its underside is compared, every 10 mm outward,
// with the height that is asked for there. The engine finds the same seasons by
// slopes and halving, and has to give the same answers.
//
// The engine counts in whole millimetres; the walk does not. So each question
// is asked twice, of a crown a little wider and lower than it is and of one a
// little narrower and higher (slack below). Where the two answers differ the
// case hangs on a rounding: it is counted, the engine may give either answer,
// and no other. A base that sags by 10 mm a year leaves many such years: one
// side in fifteen hangs on a rounding somewhere.
func TestEngineAgainstTheCrownItself(t *testing.T) {
	const policies, trees = 40, 250
	r := rand.New(rand.NewPCG(19, 4))
	seen := map[string]int{}
	edge, sides := 0, 0
	for p := range policies {
		policy := dicePolicy(t, r)
		e := engineOf(t, policy)
		for range trees {
			tree, site := diceTree(r, e), diceSite(r)
			d := draft{e: e, t: &tree, s: &site, today: day("2026-11-25")}
			d.p = e.species[tree.Species]
			d.proj = d.p.curve.Project(tree, d.undated())
			d.living()
			for _, k := range []scheduler.WorkKind{scheduler.RoadClearance, scheduler.WalkClearance} {
				w, ok := walkedOf(&d, &policy, k)
				got := toldOf(&d, k)
				if !ok {
					if got != (finding{}) {
						t.Fatalf("%s without a rule or an edge: %+v", k, got)
					}
					continue
				}
				sides++
				want, sure := w.finding(&d)
				seen[want.what]++
				if want.unreachable {
					seen["unreachable"]++
				}
				if want.legal > 0 {
					seen["legal season"]++
				}
				if !sure {
					edge++
					if !w.allows(&d, got) {
						t.Fatalf("policy %d, %s: %+v is none of the answers that rounding leaves open\n%+v\n%+v", p, k, got, tree, site)
					}
					continue
				}
				if got != want {
					t.Fatalf("policy %d, %s: engine %+v, walked %+v\n%+v\n%+v\nprofile %+v", p, k, got, want, tree, site, w)
				}
			}
		}
	}
	t.Logf("%d sides, %d decided by rounding, %v", sides, edge, seen)
	if edge*100 > sides*8 {
		t.Errorf("%d of %d sides hang on a rounding", edge, sides)
	}
	for what, least := range map[string]int{"": 500, breached: 500, comes: 500, waits: 500, "unreachable": 500, "legal season": 300} {
		if seen[what] < least {
			t.Errorf("only %d sides of the sort %q", seen[what], what)
		}
	}
}

// finding is what is said of one side.
type finding struct {
	what        string // empty for nothing to do
	year, legal int    // growing seasons; 0 for none
	unreachable bool
}

const (
	breached = "below the legal height when recorded"
	comes    = "comes below the height in a season"
	waits    = "too small to be raised"
)

var (
	toldComes = regexp.MustCompile(`; in the growing season (\d+)(?:/\d\d)? the crown stands`)
	toldLegal = regexp.MustCompile(`, and in (\d+)(?:/\d\d)? below the legal height`)
	toldWaits = regexp.MustCompile(`out(?: in the growing season (\d+)(?:/\d\d)?)?, needs a base of`)
)

// toldOf reads the finding from the reasons of a draft.
func toldOf(d *draft, k scheduler.WorkKind) finding {
	var f finding
	year := func(s string) int { y, _ := strconv.Atoi(s); return y }
	all := string(d.buf)
	for i := range d.nr {
		q := &d.reasons[i]
		if d.tasks[q.task].kind != k {
			continue
		}
		text := q.text.in(all)
		switch {
		case q.rule == "clearance.not_reachable":
			f.unreachable = true
		case strings.Contains(text, "is legal: within"):
			f.what = breached
		case toldComes.MatchString(text):
			f.what, f.year = comes, year(toldComes.FindStringSubmatch(text)[1])
			if m := toldLegal.FindStringSubmatch(text); m != nil {
				f.legal = year(m[1])
			}
		case toldWaits.MatchString(text):
			f.what, f.year = waits, year(toldWaits.FindStringSubmatch(text)[1])
		}
	}
	return f
}

func (f finding) String() string {
	return fmt.Sprintf("%q %d, legal %d, unreachable %v", f.what, f.year, f.legal, f.unreachable)
}
