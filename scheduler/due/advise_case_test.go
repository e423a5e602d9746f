package due

import (
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

// adviseCase is a branch as a crew leader meets it. The expected answers are
// common practice of structural pruning; the trees are invented.
type adviseCase struct {
	name    string
	species string // red maple when empty
	dbh     geo.Length
	tree    func(*scheduler.Tree)
	site    func(*scheduler.Site)
	on      string // mid January when empty
	q       Branch
	want    Verdict
	today   bool
	ask     string
	says    string // in the sentence, the row or a reason
}

const (
	winter = "2027-01-15"
	summer = "2027-07-05"
)

func (tc *adviseCase) answer(t *testing.T, e *Engine) Advice {
	t.Helper()
	species, dbh := tc.species, tc.dbh
	if species == "" {
		species = "ACRU"
	}
	if dbh == 0 {
		dbh = 120
	}
	tree, site := inTraining(species, dbh), apart()
	if tc.tree != nil {
		tc.tree(&tree)
	}
	if tc.site != nil {
		tc.site(&site)
	}
	q := tc.q
	if q.On = day(winter); tc.on != "" {
		q.On = day(tc.on)
	}
	out, err := e.Advise(tree, site, q)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func poor(t *scheduler.Tree)     { t.Vigour = scheduler.VigourPoor }
func newlySet(t *scheduler.Tree) { *t = bare(t.Species); t.Planted, t.Caliper = day("2026-11-10"), 50 }

func used(pct int) func(*scheduler.Tree) {
	return func(t *scheduler.Tree) { t.DoseUsed, t.DoseSeason = pct, 2027 }
}

func primary(h geo.Length) func(*scheduler.Site) {
	return func(s *scheduler.Site) { s.WireClass, s.WireHeight, s.ToWire = scheduler.WirePrimary, h, 500 }
}

func adviseCases() []adviseCase {
	lead, top := CompetingLeader, CompetingTop
	return []adviseCase{
		// The cut table.
		{name: "pencil-thick competitor comes off", q: Branch{Role: lead, Diameter: 15, Stem: 60}, want: Remove, today: true, says: "up to 25 mm"},
		{name: "twig-sized twin, thick for its stem", q: Branch{Role: lead, Diameter: 20, Stem: 28}, want: Remove, today: true, says: "if the dose allows"},
		{name: "thumb-thick, a third of the stem", q: Branch{Role: lead, Diameter: 30, Stem: 95}, want: Remove, today: true, says: "25 mm (1.0 in) to 50 mm (2.0 in), ratio up to 33 %"},
		{name: "thumb-thick, under half", q: Branch{Role: lead, Diameter: 30, Stem: 70}, want: Remove, today: true, says: "remove, or reduce first"},
		{name: "thumb-thick, over half, on a tree that grows slowly", dbh: 300, tree: slow, q: Branch{Role: lead, Diameter: 27, Stem: 50}, want: TwoSteps, today: true, says: "reduce first"},
		{name: "thumb-thick, well over half, in the shade: comes right in a few seasons", q: Branch{Role: CrossingBranch, Diameter: 28, Stem: 46}, want: TwoSteps, today: true, says: "By its growth it is no more than 50 %"},
		{name: "wrist-thick low on the stem, no reason given", dbh: 300, q: Branch{Role: lead, Diameter: 70, Stem: 230}, want: Reduce, today: true, says: "only with a stated reason"},
		{name: "wrist-thick with a reason", dbh: 300, q: Branch{Role: lead, Diameter: 70, Stem: 230, Stated: "splits at the next ice"}, want: Remove, today: true, says: "splits at the next ice"},
		{name: "wrist-thick, under half", dbh: 300, q: Branch{Role: lead, Diameter: 70, Stem: 160}, want: HoldStem, today: true, says: "reduce and hold"},
		{name: "wrist-thick twin", dbh: 300, q: Branch{Role: lead, Diameter: 90, Stem: 110}, want: HoldStem, today: true, ask: AskSupervisor, says: "hold, ask the supervisor"},
		{name: "arm-thick limb", dbh: 400, q: Branch{Role: lead, Diameter: 120, Stem: 380}, want: HoldStem, ask: AskSupervisor, says: "the supervisor decides"},
		{name: "arm-thick twin", dbh: 400, q: Branch{Role: lead, Diameter: 150, Stem: 200}, want: HoldStem, ask: AskAssessor, says: "a qualified assessor decides"},
		{name: "thumb-thick on a silver maple is judged as wrist-thick", species: "ACSA1", q: Branch{Role: lead, Diameter: 30, Stem: 70}, want: HoldStem, today: true, says: "one row stricter"},
		{name: "wrist-thick on a silver maple goes to the supervisor", species: "ACSA1", dbh: 300, q: Branch{Role: lead, Diameter: 60, Stem: 250}, want: HoldStem, ask: AskSupervisor, says: "one row stricter"},
		{name: "parent stem not measured", q: Branch{Role: lead, Diameter: 22}, want: Remove, today: true, says: "Measure just above the union"},

		// Subordination: two steps, held stems, what never gets small.
		{name: "reduced last winter: the growing season is still to come", q: Branch{Role: lead, Diameter: 30, Stem: 70, ReducedOn: day("2026-12-01")}, want: TwoSteps, says: "not removed before one full growing season"},
		{name: "reduced two winters ago, now under half", q: Branch{Role: lead, Diameter: 30, Stem: 70, ReducedOn: day("2026-01-10")}, want: Remove, today: true},
		{name: "reduced in July: the rest of that summer does not count", on: "2028-01-10", q: Branch{Role: lead, Diameter: 30, Stem: 70, ReducedOn: day("2027-07-10")}, want: TwoSteps, says: "from 1 Nov 2028"},
		{name: "reduced two winters ago, still over half", dbh: 300, tree: slow, q: Branch{Role: lead, Diameter: 27, Stem: 50, ReducedOn: day("2026-01-10")}, want: TwoSteps, today: true, says: "reduce it again"},
		{name: "a tip-off of a tenth slowed nothing", dbh: 300, tree: slow, q: Branch{Role: lead, Diameter: 27, Stem: 50, ReducedOn: day("2026-01-10"), ReducedPct: 10}, want: TwoSteps, today: true, says: "under about a quarter"},
		{name: "grows past the small cut first", q: Branch{Role: lead, Diameter: 44, Stem: 60}, want: HoldStem, today: true, says: "take it now or hold it for good"},
		{name: "held stem at the next visit", dbh: 200, q: Branch{Role: top, Diameter: 60, Stem: 130, Intent: scheduler.HoldTier, ReducedOn: day("2024-01-15")}, want: HoldStem, today: true, says: "reduced again at every visit"},
		{name: "held stem reduced this winter already", dbh: 200, q: Branch{Role: top, Diameter: 60, Stem: 130, Intent: scheduler.HoldTier, ReducedOn: day("2026-11-20")}, want: HoldStem, says: "for the same growing season"},
		{name: "no side branch to go back to", dbh: 300, q: Branch{Role: lead, Diameter: 70, Stem: 160, Lateral: 9}, want: HoldStem, ask: AskSupervisor, says: "head it back"},
		{name: "a side branch of a third will do", dbh: 300, q: Branch{Role: lead, Diameter: 70, Stem: 160, Lateral: 20}, want: HoldStem, today: true},

		// The tree's own state.
		{name: "just planted: sound branches stay", tree: newlySet, q: Branch{Role: lead, Diameter: 12, Stem: 30}, want: Keep, says: "makes the roots"},
		{name: "just planted: what broke on the truck goes", tree: newlySet, q: Branch{Role: BrokenBranch, Diameter: 12, Stem: 30}, want: Remove, today: true},
		{name: "dying back: no live cut", tree: poor, q: Branch{Role: lead, Diameter: 12, Stem: 60}, want: Keep, says: "under stress"},
		{name: "dying back: dead wood still goes", tree: poor, q: Branch{Role: DeadBranch, Diameter: 40, Stem: 90}, want: Remove, today: true},
		{name: "leader itself", q: Branch{Role: TheLeader, Diameter: 40, Stem: 60}, want: Keep, says: "stays"},

		// Dose.
		{name: "dose of the season spent", tree: used(25), q: Branch{Role: lead, Diameter: 22, Stem: 60}, want: Remove, says: "unfinished: return in the dormant season 2027/28, 1 Nov to 31 Mar"},
		{name: "removal does not fit, a reduction does", tree: used(17), q: Branch{Role: lead, Diameter: 22, Stem: 60, Share: 14}, want: TwoSteps, today: true, says: "14 % of the live crown and 8 % is left"},
		{name: "only part of the reduction fits", dbh: 300, tree: used(20), q: Branch{Role: lead, Diameter: 70, Stem: 160, Share: 14}, want: HoldStem, today: true, says: "take about 35 %"},
		{name: "lane side gave its part", q: Branch{Role: LaneSide, Diameter: 28, Stem: 110, SideUsed: 15, Share: 4}, want: Reduce, says: "for this side"},
		{name: "dose counts from the record or the crew, whichever is more", tree: used(10), q: Branch{Role: lead, Diameter: 22, Stem: 60, DoseUsed: 24}, want: Remove, says: "24 % used"},
		{name: "a large cut sends the crew leader back to the ground", q: Branch{Role: lead, Diameter: 48, Stem: 100, Share: 15}, want: Remove, today: true, says: "Look again from the ground"},

		// Seasons.
		{name: "oak in July", species: "QUPA", on: summer, q: Branch{Role: lead, Diameter: 15, Stem: 60}, want: Remove, says: "not before 1 Aug 2027"},
		{name: "oak in July, dead wood", species: "QUPA", on: summer, q: Branch{Role: DeadBranch, Diameter: 60, Stem: 200}, want: Remove, today: true, says: "held by no season"},
		{name: "oak in July, broken and hanging over nobody", species: "QUPA", on: summer, q: Branch{Role: BrokenBranch, Diameter: 30, Stem: 100}, want: Remove, says: "no live cut before 1 Aug 2027"},
		{name: "oak in July, emergency without a name", species: "QUPA", on: summer, q: Branch{Role: BrokenBranch, Diameter: 30, Stem: 100, Emergency: true}, want: Remove, says: "needs an approver by name"},
		{name: "oak in July, emergency approved", species: "QUPA", on: summer, q: Branch{Role: BrokenBranch, Diameter: 30, Stem: 100, Emergency: true, Approver: "M. Forester"}, want: Remove, today: true, says: "painted at once"},
		{name: "maple in July", on: summer, q: Branch{Role: lead, Diameter: 15, Stem: 60}, want: Remove, today: true},
		{name: "crabapple in January waits for its window", species: "MALUS", q: Branch{Role: CrossingBranch, Diameter: 15, Stem: 60}, want: Remove, says: "return this season, from 1 Feb 2027"},

		// Included bark.
		{name: "small twin with included bark", q: Branch{Role: lead, Diameter: 24, Stem: 40, IncludedBark: true}, want: Remove, today: true},
		{name: "middle twin with included bark, thin for its stem", dbh: 300, q: Branch{Role: lead, Diameter: 70, Stem: 230, IncludedBark: true}, want: HoldStem, today: true, says: "look at every visit"},
		{name: "large twin with included bark, thin for its stem", dbh: 500, q: Branch{Role: lead, Diameter: 140, Stem: 450, IncludedBark: true}, want: HoldStem, ask: AskAssessor, says: "beyond training"},

		// The roles of a visit.
		{name: "dead twig", q: Branch{Role: DeadBranch, Diameter: 20, Stem: 90}, want: Remove, today: true, says: "no dose"},
		{name: "dead limb", dbh: 400, q: Branch{Role: DeadBranch, Diameter: 140, Stem: 380}, want: Remove, ask: AskSupervisor, says: "fall zone"},
		{name: "diseased shoot", q: Branch{Role: DiseasedBranch, Diameter: 20, Stem: 90}, want: Remove, today: true, says: "disinfect"},
		{name: "elm wood stays in its zone", species: "ULAM", q: Branch{Role: DiseasedBranch, Diameter: 20, Stem: 90}, want: Remove, today: true, says: "in its zone"},
		{name: "stub", q: Branch{Role: Stub, Diameter: 40, Stem: 90}, want: Remove, today: true, says: "collar"},
		{name: "stub with live shoots in a closed season", species: "QUPA", on: summer, q: Branch{Role: Stub, Diameter: 40, Stem: 90, Share: 2}, want: Remove, says: "not before"},
		{name: "rubbing pair", q: Branch{Role: CrossingBranch, Diameter: 28, Stem: 90, Contact: 300}, want: Remove, today: true, says: "touch over 300 mm"},
		{name: "wrist-thick rubbing limb: the rubbing is the reason", dbh: 300, q: Branch{Role: CrossingBranch, Diameter: 60, Stem: 200}, want: Remove, today: true},
		{name: "will press on the union", q: Branch{Role: PressingBranch, Diameter: 20, Stem: 80, Gap: 25}, want: Remove, today: true, says: "will press on the union about 20"},
		{name: "far from the union", q: Branch{Role: PressingBranch, Diameter: 20, Stem: 80, Gap: 900}, want: Keep, says: "does not press"},
		{name: "pressing, gap not measured", q: Branch{Role: PressingBranch, Diameter: 20, Stem: 80}, want: Remove, today: true, says: "measure the gap"},
		{name: "low limb into the scaffold", q: Branch{Role: IntoScaffold, Diameter: 28, Stem: 100, Attitude: UprightStem}, want: Remove, today: true, says: "no candidate"},
		{name: "crowds inside a leader", q: Branch{Role: CrowdingBranch, Diameter: 18, Stem: 60}, want: Remove, today: true, says: "never stripped"},
		{name: "competing tops within one leader", q: Branch{Role: top, Diameter: 22, Stem: 30}, want: Remove, today: true},
		{name: "basal sprouts", q: Branch{Role: BasalSprout, Diameter: 12}, want: Remove, today: true, says: "at their origin"},
		{name: "twiggy temporary branch stays", dbh: 120, q: Branch{Role: TemporaryBranch, Diameter: 8, Stem: 60}, want: Keep, says: "stays longest"},
		{name: "walk-side temporary is taken back from day one", q: Branch{Role: TemporaryBranch, Diameter: 8, Stem: 60, Side: scheduler.SideWalk}, want: Reduce, today: true, says: "day one"},
		{name: "middling temporary is shortened to a side branch", q: Branch{Role: TemporaryBranch, Diameter: 16, Stem: 70, NextVisit: day("2027-04-10")}, want: Reduce, today: true, says: "before it is taken out"},
		{name: "largest temporary goes first", q: Branch{Role: TemporaryBranch, Diameter: 29, Stem: 110}, want: Remove, today: true, says: "largest first"},
		{name: "lane side too high to raise to", q: Branch{Role: LaneSide, Diameter: 28, Stem: 110, Height: 4500}, want: Reduce, today: true, says: "behind the curb line"},
		{name: "walk side below what may be raised", q: Branch{Role: WalkSide, Diameter: 18, Stem: 110, Height: 1200}, want: Remove, today: true, says: "may be raised today"},
		{name: "a second large cut at the same height", q: Branch{Role: CrossingBranch, Diameter: 34, Stem: 110, SameHeight: true}, want: Reduce, today: true, says: "girdle"},
		{name: "long end over the street", dbh: 400, q: Branch{Role: EndWeight, Diameter: 90, Stem: 300}, want: Reduce, today: true, says: "inside is never stripped"},
		{name: "lowest permanent branch", q: Branch{Role: PermanentBranch, Diameter: 40, Stem: 120}, want: Keep, says: "stays"},
		{name: "permanent branch thicker than half the trunk", dbh: 200, q: Branch{Role: PermanentBranch, Diameter: 80, Stem: 120}, want: Reduce, today: true, says: "slow it"},

		// Growth habits without the leader rule.
		{name: "green frond", species: "SAPA", q: Branch{Role: EndWeight, Diameter: 60, Stem: 300}, want: Keep, says: "every green frond stays"},
		{name: "dead frond", species: "SAPA", q: Branch{Role: DeadBranch, Diameter: 60, Stem: 300}, want: Remove, today: true},
		{name: "spruce with a small second top", species: "PIPU", q: Branch{Role: top, Diameter: 18, Stem: 50}, want: Remove, today: true, says: "leader is never cut"},
		{name: "spruce with a thick second top", species: "PIPU", dbh: 250, q: Branch{Role: top, Diameter: 60, Stem: 80}, want: HoldStem, ask: AskSupervisor},
		{name: "spruce ends are not cut back", species: "PIPU", q: Branch{Role: EndWeight, Diameter: 30, Stem: 100}, want: Keep, says: "whole or left"},
		{name: "crape myrtle stems", species: "LAIN", q: Branch{Role: lead, Diameter: 40, Stem: 50}, want: Keep, says: "three to five"},
		{name: "hornbeam's upright stems", species: "CABE", q: Branch{Role: lead, Diameter: 40, Stem: 50, Attitude: UprightStem}, want: Keep, says: "columnar"},
		{name: "hornbeam stem that leans out", species: "CABE", q: Branch{Role: lead, Diameter: 40, Stem: 50, Attitude: SpreadingBranch}, want: Reduce, today: true, says: "leans out"},
		{name: "weeping willow", species: "SABA", q: Branch{Role: lead, Diameter: 40, Stem: 50}, want: Keep, says: "no single leader"},
		{name: "crabapple's second top", species: "MALUS", on: "2027-02-10", q: Branch{Role: lead, Diameter: 40, Stem: 60}, want: HoldStem, today: true, says: "two tops"},
		{name: "crabapple, 70 and 56 mm stems with included bark", species: "MALUS", dbh: 106, on: "2027-02-10", q: Branch{Role: lead, Diameter: 56, Stem: 70, IncludedBark: true}, want: HoldStem, today: true, ask: AskSupervisor, says: "take about 50 %"},

		// Wires and what stops the work.
		{name: "line seen at 6 ft, ground crew", q: Branch{Role: lead, Diameter: 15, Stem: 60, WireGap: 1800}, want: Stop, says: "line-clearance qualified crew"},
		{name: "line seen at 12 ft", site: primary(9000), q: Branch{Role: lead, Diameter: 15, Stem: 60, WireGap: 3700}, want: Remove, today: true},
		{name: "top near the conductor on the map", site: primary(9000), dbh: 180, q: Branch{Role: lead, Diameter: 15, Stem: 60}, want: Stop, says: "not verified on site"},
		{name: "low branch far under the conductor", site: primary(9000), dbh: 180, q: Branch{Role: TemporaryBranch, Diameter: 29, Stem: 150, Height: 1500}, want: Remove, today: true},
		{name: "line crew at a line of known class", site: primary(9000), q: Branch{Role: lead, Diameter: 15, Stem: 60, WireGap: 1800, LineCrew: true}, want: Remove, today: true, says: "its own rules"},
		{name: "line crew at an unknown line", q: Branch{Role: lead, Diameter: 15, Stem: 60, WireGap: 1800, LineCrew: true}, want: Stop, says: "the utility, for the voltage"},
		{name: "crack at the union", q: Branch{Role: lead, Diameter: 15, Stem: 60, Signs: []StopSign{CrackAtUnion}}, want: Stop, says: "qualified assessor"},
		{name: "hanger, even when dead wood", q: Branch{Role: DeadBranch, Diameter: 15, Stem: 60, Signs: []StopSign{Hanger}}, want: Stop, says: "make-safe"},
		{name: "soil lifting", q: Branch{Role: lead, Diameter: 15, Stem: 60, Signs: []StopSign{SoilLifting}}, want: Stop, says: "roots are moving"},
		{name: "decay at the base", q: Branch{Role: EndWeight, Diameter: 55, Stem: 160, Signs: []StopSign{DecayAtBase}}, want: Stop, says: "qualified assessor"},
		{name: "fungus at the base", q: Branch{Role: EndWeight, Diameter: 55, Stem: 160, Signs: []StopSign{FungusAtBase}}, want: Stop, says: "qualified assessor"},
		{name: "branch on the wire", q: Branch{Role: BrokenBranch, Diameter: 55, Stem: 160, Signs: []StopSign{WireContact}}, want: Stop, says: "the utility"},
		{name: "bees", q: Branch{Role: Stub, Diameter: 55, Stem: 160, Signs: []StopSign{Bees}}, want: Stop, says: "leave the work zone"},
		{name: "active nest", q: Branch{Role: lead, Diameter: 15, Stem: 60, Signs: []StopSign{ActiveNest}}, want: Stop, says: "wildlife"},
		{name: "two signs, both called for", q: Branch{Role: lead, Diameter: 15, Stem: 60, Signs: []StopSign{Bees, WireContact}}, want: Stop, says: "the utility; the supervisor"},
	}
}

// slow is a tree near the end of its growth, so that a reduced stem falls behind.
func slow(t *scheduler.Tree) { t.DBH = 900 }

func TestAdviceAsACrewLeaderWouldGiveIt(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	for _, tc := range adviseCases() {
		t.Run(tc.name, func(t *testing.T) {
			out := tc.answer(t, e)
			all := out.Sentence + "\n" + out.Row + "\n" + out.Unfinished
			for _, r := range out.Reasons {
				all += "\n" + r.Rule + ": " + r.Text
				if r.Source == "" {
					t.Errorf("%s has no source", r.Rule)
				}
			}
			if out.Advice != tc.want || out.Today != tc.today || out.Ask != tc.ask || !strings.Contains(all, tc.says) {
				t.Errorf("%s today %t ask %q, want %s today %t ask %q saying %q\n%s", out.Advice, out.Today, out.Ask, tc.want, tc.today, tc.ask, tc.says, all)
			}
			if out.Foot != adviceFoot || len(out.Reasons) == 0 {
				t.Errorf("no foot or no reason: %+v", out)
			}
		})
	}
}
