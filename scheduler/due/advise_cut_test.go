package due

import (
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

// The cut table of common practice, cell by cell: a row for each diameter, a
// column for each ratio to the parent stem.
func TestCutTableCellByCell(t *testing.T) {
	table := [4][3]string{
		{"remove", "remove", "remove, if the dose allows"},
		{"remove", "remove, or reduce first", "reduce first"},
		{"only with a stated reason", "reduce and hold", "hold, ask the supervisor"},
		{"the supervisor decides", "the supervisor decides", "a qualified assessor decides"},
	}
	practice := scheduler.PracticeRules{}.WithDefaults()
	common := newCutTable(&practice, 0.5)
	diameters := [4][]geo.Length{{1, 24, 25}, {26, 40, 50}, {51, 75, 100}, {101, 150, 400}}
	stem := func(d geo.Length, column int) geo.Length { return [3]geo.Length{3 * d, 2 * d, 2*d - 1}[column] }
	for _, decay := range []scheduler.DecayClass{scheduler.DecayStrong, scheduler.DecayAverage, scheduler.DecayWeak, ""} {
		for row, list := range diameters {
			want := row
			if decay == scheduler.DecayWeak {
				want = min(row+1, 3)
			}
			for column := range 3 {
				for _, mm := range list {
					got := common.judge(mm, stem(mm, column), decay).String()
					if got != table[want][column] {
						t.Errorf("%s %d mm of %d mm: %q, want %q", decay, mm, stem(mm, column), got, table[want][column])
					}
				}
			}
		}
	}
}

// A city that removes in one step only up to a smaller ratio narrows the middle
// column: above 0.39 a live oak's trunk discolours (Eisner, Gilman & Grabosky
// 2002, J. Arboric. 28(2)).
func TestCutColumnFollowsThePolicysRatio(t *testing.T) {
	for _, tc := range []struct {
		mm, stem geo.Length
		small    float64
		want     int
	}{
		{33, 100, 0.39, 0}, {39, 100, 0.39, 1}, {40, 100, 0.39, 2}, {50, 100, 0.5, 1}, {30, 100, 0.25, 2}, {25, 100, 0.25, 0},
	} {
		practice := scheduler.PracticeRules{}.WithDefaults()
		c := newCutTable(&practice, tc.small)
		if got := c.column(tc.mm, tc.stem); got != tc.want {
			t.Errorf("%d of %d mm at %g: column %d, want %d", tc.mm, tc.stem, tc.small, got, tc.want)
		}
	}
}

// One-season widths: Neely 1979, J. Arboric. 5(6):135-140: 11/16 in with
// substantial, 1/2 in with moderate, 3/8 in with modest diameter growth. A cut
// of 2 in then closes in about 3, 4 or 6 seasons by straight extrapolation.
func TestSeasonsToClose(t *testing.T) {
	for _, tc := range []struct {
		width    geo.Length
		vigour   scheduler.Vigour
		from, to int
	}{
		{geo.Inches(11.0 / 16), scheduler.VigourGood, 1, 2},
		{geo.Inches(0.5), scheduler.VigourFair, 1, 2},
		{geo.Inches(3.0 / 8), scheduler.VigourPoor, 1, 0},
		{geo.Inches(2), scheduler.VigourGood, 3, 4},
		{geo.Inches(2), scheduler.VigourFair, 4, 6},
		{geo.Inches(2), scheduler.VigourPoor, 6, 0},
		{geo.Inches(2), "", 3, 6},
		{18, scheduler.VigourGood, 2, 2},
	} {
		if got := seasonsToClose(tc.width, tc.vigour); got != (Seasons{tc.from, tc.to}) {
			t.Errorf("%d mm, %q: %v, want %d to %d", tc.width, tc.vigour, got, tc.from, tc.to)
		}
	}
}

// A policy decides who touches what a weak compartmentaliser is judged by.
func TestWeakCompartmentaliserIsJudgedOneRowStricter(t *testing.T) {
	e := presetEngine(t, "lower-midwest", nil)
	q := Branch{Role: CompetingLeader, On: day("2027-01-15"), Diameter: 60, Stem: 200, Stated: "torn bark"}
	for species, want := range map[string]Verdict{"ACRU": Remove, "ACSA1": HoldStem} { // red maple, silver maple
		tree := inTraining(species, 250)
		out, err := e.Advise(tree, apart(), q)
		if err != nil || out.Advice != want {
			t.Errorf("%s: %s, %v; want %s", species, out.Advice, err, want)
		}
		if strings.Contains(out.Row, "one row stricter") != (species == "ACSA1") {
			t.Errorf("%s: row %q", species, out.Row)
		}
	}
}

// inTraining is a tree of a dbh in mm that had its first training visits.
func inTraining(species string, dbh geo.Length) scheduler.Tree {
	t := bare(species)
	t.Planted, t.LastTraining, t.LastVisit, t.Stage = day("2017-03-20"), day("2024-01-15"), day("2024-01-15"), scheduler.StageLeader
	t.DBH, t.MeasuredOn = dbh, day("2026-08-01")
	return t
}

// Where live wood is cut only in late summer, the dormant season's days move
// before it: the second step then waits for the summer after a full growing season.
func TestSecondStepWhereOnlyLateSummerIsOpen(t *testing.T) {
	e := presetEngine(t, "lower-midwest", func(p *scheduler.Policy) {
		p.Seasons.Special = []scheduler.Season{{
			Name: "late summer", Kind: scheduler.SeasonAllowed, From: scheduler.MonthDay{Month: 8, Day: 1}, To: scheduler.MonthDay{Month: 9, Day: 15},
			Authority: "city", Source: "test",
		}}
	})
	out, err := e.Advise(inTraining("ACRU", 120), apart(), Branch{Role: CompetingLeader, On: day("2028-08-10"), Diameter: 30, Stem: 70, ReducedOn: day("2027-08-10")})
	if err != nil || out.Advice != TwoSteps || out.Today || len(out.Steps) != 1 || out.Steps[0].From != day("2029-08-01") {
		t.Errorf("%v: %s %+v", err, out.Sentence, out.Steps)
	}
}
