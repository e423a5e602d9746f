package due

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"limbround/geo"
	"limbround/scheduler"
)

// level orders advice from the freest to the strictest.
func (o *Advice) level() int {
	switch {
	case o.Advice == Stop:
		return 5
	case o.Ask == AskAssessor:
		return 4
	case o.Ask != "":
		return 3
	case o.Advice == HoldStem:
		return 2
	case o.Advice == Remove && (o.Unfinished == "" || !o.Opens.IsZero()):
		return 0
	}
	return 1
}

func oneFrom[T any](r *rand.Rand, list []T) T { return list[r.IntN(len(list))] }

// chance is v once in n times, else the zero value.
func chance[T any](r *rand.Rand, n int, v T) T {
	var zero T
	if r.IntN(n) > 0 {
		return zero
	}
	return v
}

// anyBranch draws a tree, its site and a question about a branch, without stop signs or lines.
func anyBranch(r *rand.Rand, species []scheduler.Species) (scheduler.Tree, scheduler.Site, Branch) {
	t := inTraining(oneFrom(r, species).Code, geo.Length(20+r.IntN(600)))
	t.Vigour = oneFrom(r, []scheduler.Vigour{"", scheduler.VigourGood, scheduler.VigourGood, scheduler.VigourFair, scheduler.VigourPoor})
	t.Stage = oneFrom(r, scheduler.Stages())
	t.DoseUsed, t.DoseSeason = r.IntN(30), 2027+r.IntN(2)
	t.Height = chance(r, 2, geo.Length(2000+r.IntN(12000)))
	on := day("2027-01-01") + scheduler.Date(r.IntN(730))
	stem := geo.Length(10 + r.IntN(500))
	q := Branch{
		Role: oneFrom(r, BranchRoles()), On: on, Diameter: geo.Length(1 + r.IntN(int(stem))), Stem: stem, Height: geo.Length(r.IntN(6000)),
		Side: oneFrom(r, []scheduler.Side{"", scheduler.SideRoad, scheduler.SideWalk}), Attitude: oneFrom(r, []Attitude{"", UprightStem, SpreadingBranch, DroopingBranch}),
		Intent: chance(r, 4, scheduler.HoldTier), IncludedBark: r.IntN(4) == 0, Gap: chance(r, 2, geo.Length(1+r.IntN(80))),
		Lateral: chance(r, 4, geo.Length(1+r.IntN(60))), SameHeight: r.IntN(6) == 0, Stated: chance(r, 3, "a reason"),
		Share: chance(r, 2, 1+r.IntN(40)), DoseUsed: chance(r, 3, r.IntN(30)), SideUsed: chance(r, 3, r.IntN(20)),
		ReducedOn: chance(r, 3, on-scheduler.Date(r.IntN(900))), ReducedPct: chance(r, 2, 1+r.IntN(60)), Emergency: r.IntN(8) == 0,
	}
	return t, apart(), q
}

// searchAdvice asks about many branches drawn at random.
func searchAdvice(t *testing.T, draws int, each func(r *rand.Rand, e *Engine, tree scheduler.Tree, s scheduler.Site, q Branch, out Advice)) {
	t.Helper()
	e := presetEngine(t, "upper-midwest", nil)
	r := rand.New(rand.NewPCG(19, 79))
	species := speciesTable(t)
	for range draws {
		tree, s, q := anyBranch(r, species)
		each(r, e, tree, s, q, advised(t, e, tree, s, q))
		if t.Failed() {
			return
		}
	}
}

func advised(t *testing.T, e *Engine, tree scheduler.Tree, s scheduler.Site, q Branch) Advice {
	t.Helper()
	out, err := e.Advise(tree, s, q)
	if err != nil {
		t.Fatalf("%+v: %v", q, err)
	}
	return out
}

func TestNoAdviceBreaksALimit(t *testing.T) {
	seen := map[Verdict]int{}
	closed := 0
	searchAdvice(t, 10_000, func(_ *rand.Rand, e *Engine, tree scheduler.Tree, s scheduler.Site, q Branch, out Advice) {
		seen[out.Advice]++
		dead := q.Role == DeadBranch || q.Role == Stub && q.Share == 0
		if out.Take > out.DoseLeft || out.DoseUsed+out.Take > max(out.DoseLimit, out.DoseUsed) {
			t.Errorf("%+v takes %d %%, %d %% is left", q, out.Take, out.DoseLeft)
		}
		if out.Today && !dead && e.policy.Seasons.ClosedOn(groupOf(e, tree), []scheduler.WorkKind{workOf(q.Role, stageOf(e, tree, s, q))}, q.On) {
			t.Errorf("%+v is cut in a closed season: %s", q, out.Sentence)
		}
		if !out.Opens.IsZero() {
			closed++
		}
		if _, judged := e.species[tree.Species].cuts.row(q.Diameter, e.species[tree.Species].species.Decay); out.Advice == Remove && out.Today && judged == len(cutCells)-1 {
			t.Errorf("%+v: removes above the supervisor's row: %s", q, out.Sentence)
		}
		if (out.Advice == Keep) != (out.Sentence[:4] == "Keep") || out.Advice == Keep && out.Today {
			t.Errorf("%+v: %s, today %t", q, out.Sentence, out.Today)
		}
		for _, r := range out.Reasons {
			if strings.Contains(r.Text+out.Sentence, "safe") || strings.Count(r.Text, ". ") > 2 || !strings.HasSuffix(r.Text, ".") {
				t.Errorf("%s: %q", r.Rule, r.Text)
			}
		}
		if out.Advice == TwoSteps {
			checkSteps(t, e, q, out)
		}
		if diff := cmp.Diff(out, advised(t, e, tree, s, q)); diff != "" {
			t.Errorf("%+v: two answers\n%s", q, diff)
		}
	})
	for _, v := range []Verdict{Keep, Reduce, Remove, TwoSteps, HoldStem} {
		if seen[v] < 50 {
			t.Errorf("%s came up only %d times: the search tests too little", v, seen[v])
		}
	}
	if closed < 200 {
		t.Errorf("only %d questions fell in a closed season", closed)
	}
}

func groupOf(e *Engine, t scheduler.Tree) string { return e.species[t.Species].species.ClosedGroup }

func stageOf(e *Engine, t scheduler.Tree, s scheduler.Site, q Branch) scheduler.Stage {
	d := &draft{e: e, t: &t, s: &s, today: q.On, p: e.species[t.Species]}
	d.proj = d.p.curve.Project(t, d.undated())
	d.settle()
	return d.stage
}

// checkSteps holds two steps to a full growing season between them.
func checkSteps(t *testing.T, e *Engine, q Branch, out Advice) {
	t.Helper()
	done, n := q.ReducedOn, len(out.Steps)
	if n == 2 {
		done = out.Steps[0].To
		if out.Steps[0].From > done {
			t.Errorf("%+v: first step %+v", q, out.Steps[0])
		}
	}
	if n == 0 || done.IsZero() {
		t.Errorf("%+v: steps %+v", q, out.Steps)
		return
	}
	from, to := e.cal.growingIn(e.cal.full(done))
	if last := out.Steps[n-1]; from <= done || last.From <= to || last.To < last.From {
		t.Errorf("%+v: %s, and the growing season from %s to %s", q, out.Sentence, from, to)
	}
}

// A thicker branch never gets a freer answer. Whether a temporary branch or one
// that presses is in the way at all depends on its size, so that for them a keep counts as a removal.
func TestAThickerBranchNeverGetsAFreerAnswer(t *testing.T) {
	level := func(q Branch, out *Advice) int {
		if q.Role == TemporaryBranch || q.Role == PressingBranch {
			return max(out.level(), 1)
		}
		return out.level()
	}
	rose := 0
	searchAdvice(t, 10_000, func(r *rand.Rand, e *Engine, tree scheduler.Tree, s scheduler.Site, q Branch, out Advice) {
		thick := q
		thick.Diameter += geo.Length(1 + r.IntN(100))
		more := advised(t, e, tree, s, thick)
		if level(thick, &more) < level(q, &out) {
			t.Errorf("%s %+v\n%d mm: %s\n%d mm: %s", tree.Species, q, q.Diameter, out.Sentence, thick.Diameter, more.Sentence)
		}
		if level(thick, &more) > level(q, &out) {
			rose++
		}
	})
	if rose < 1000 {
		t.Errorf("the answer became stricter only %d times", rose)
	}
}

func TestStopWinsOverEverything(t *testing.T) {
	searchAdvice(t, 2_000, func(r *rand.Rand, e *Engine, tree scheduler.Tree, s scheduler.Site, q Branch, _ Advice) {
		for range 1 + r.IntN(3) {
			q.Signs = append(q.Signs, oneFrom(r, StopSigns()))
		}
		q.Approver, q.LineCrew = "M. Forester", r.IntN(2) == 0
		out := advised(t, e, tree, s, q)
		if out.Advice != Stop || out.Today || out.Take != 0 || len(out.Call) == 0 || len(out.Steps) != 0 {
			t.Errorf("%+v: %+v", q, out)
		}
	})
}

func TestNobodyUnqualifiedWorksNearALine(t *testing.T) {
	approach := geo.Feet(10)
	searchAdvice(t, 2_000, func(r *rand.Rand, e *Engine, tree scheduler.Tree, s scheduler.Site, q Branch, _ Advice) {
		q.WireGap = 1 + geo.Length(r.IntN(int(approach)-1))
		if out := advised(t, e, tree, s, q); out.Advice != Stop {
			t.Errorf("%+v, line at %s: %s", q, q.WireGap, out.Sentence)
		}
		q.WireGap = approach
		if out := advised(t, e, tree, s, q); out.Advice == Stop {
			t.Errorf("%+v, line at %s: %s", q, q.WireGap, out.Sentence)
		}
	})
}
