package due

import (
	"limbround/geo"
	"limbround/scheduler"
)

// cutTable is the policy's table of cuts: a cut is judged by its diameter, in
// rows, and by its ratio to the stem it comes from, in columns; a weak
// compartmentaliser one row stricter. What the table answers is common practice:
//
//	cut           up to the first ratio   up to the second        above
//	first row     remove                  remove                  remove, if the dose allows
//	second row    remove                  remove, or reduce first reduce first
//	third row     with a stated reason    reduce, hold            hold, ask the supervisor
//	above         supervisor              supervisor              qualified assessor
type cutTable struct {
	rows   [3]geo.Length
	ratios [2]float64
}

// newCutTable takes the rows and ratios of a policy. The ratio for removal in
// one step narrows the middle column; it does not widen it.
func newCutTable(p *scheduler.PracticeRules, small float64) cutTable {
	var c cutTable
	copy(c.rows[:], p.CutRows)
	copy(c.ratios[:], p.CutRatios)
	if small > 0 {
		c.ratios[1] = min(c.ratios[1], small)
	}
	return c
}

// smallRatio is the ratio up to which a branch of the species goes in one step, and
// its source: the policy's, or the species' own where that is smaller.
func smallRatio(r *scheduler.TrainingRules, s *scheduler.Species) (float64, string) {
	if s.SmallRatio > 0 && (r.SmallRatio <= 0 || s.SmallRatio < r.SmallRatio) {
		return s.SmallRatio, r.CutSource + "; ratio of the species: Eisner, Gilman & Grabosky 2002, J. Arboric. 28(2), or the city's own"
	}
	return r.SmallRatio, r.CutSource
}

// limit is the largest small cut of a species: the policy's, or the next row
// below it for a weak compartmentaliser.
func (c *cutTable) limit(small geo.Length, decay scheduler.DecayClass) geo.Length {
	if decay != scheduler.DecayWeak {
		return small
	}
	strict := small / 2
	for _, row := range c.rows {
		if row < small {
			strict = row
		}
	}
	return strict
}

// callAbove is the cut above which the crew leader asks before cutting: the
// last row, or the one before it for a weak compartmentaliser.
func (c *cutTable) callAbove(decay scheduler.DecayClass) geo.Length {
	if decay == scheduler.DecayWeak {
		return c.rows[1]
	}
	return c.rows[2]
}

// cutCell is what the table says of a cut.
type cutCell int

const (
	cellRemove      cutCell = iota
	cellWithDose            // remove, if the dose allows
	cellEither              // remove, or reduce first
	cellReduceFirst         // reduce first
	cellReason              // only with a stated reason
	cellReduceHold          // reduce, hold
	cellHoldAsk             // hold, ask the supervisor
	cellSupervisor          // supervisor
	cellAssessor            // qualified assessor
)

var cellWords = [...]string{
	"remove", "remove, if the dose allows", "remove, or reduce first", "reduce first", "only with a stated reason", "reduce and hold",
	"hold, ask the supervisor", "the supervisor decides", "a qualified assessor decides",
}

func (c cutCell) String() string { return cellWords[c] }

var cutCells = [4][3]cutCell{
	{cellRemove, cellRemove, cellWithDose},
	{cellRemove, cellEither, cellReduceFirst},
	{cellReason, cellReduceHold, cellHoldAsk},
	{cellSupervisor, cellSupervisor, cellAssessor},
}

// row is the row of a diameter, and the row it is judged by: one stricter for a
// weak compartmentaliser.
func (c *cutTable) row(diameter geo.Length, decay scheduler.DecayClass) (row, judged int) {
	for row < len(c.rows) && diameter > c.rows[row] {
		row++
	}
	judged = row
	if decay == scheduler.DecayWeak {
		judged = min(row+1, len(c.rows))
	}
	return row, judged
}

// lastPlace is half a unit of the third decimal: a third is written 0.333.
const lastPlace = 0.0005

// column is the column of a branch's ratio to its parent stem. Where the stem
// was not measured the diameter alone judges.
func (c *cutTable) column(diameter, stem geo.Length) int {
	if stem <= 0 {
		return 0
	}
	ratio := float64(diameter) / float64(stem)
	switch {
	case ratio > c.ratios[1]:
		return 2
	case ratio > c.ratios[0]+lastPlace:
		return 1
	}
	return 0
}

// judge answers about the removal of a branch from its parent stem.
func (c *cutTable) judge(branch, stem geo.Length, decay scheduler.DecayClass) cutCell {
	_, judged := c.row(branch, decay)
	return cutCells[judged][c.column(branch, stem)]
}

// rowText spells the place in the table that was used.
func (d *draft) rowText(row, judged, column int) phrase {
	c := &d.p.cuts
	s := d.say("")
	switch {
	case row == 0:
		s = s.str("up to ").width(c.rows[0])
	case row < len(c.rows):
		s = s.width(c.rows[row-1]).str(" to ").width(c.rows[row])
	default:
		s = s.str("above ").width(c.rows[len(c.rows)-1])
	}
	first, second := percent(c.ratios[0]), percent(c.ratios[1])
	switch column {
	case 0:
		s = s.str(", ratio up to ").num(min(first, second)).str(" %")
	case 1:
		s = s.str(", ratio ").num(first).str(" to ").num(second).str(" %")
	default:
		s = s.str(", ratio above ").num(second).str(" %")
	}
	if judged != row {
		s = s.str(", judged one row stricter as a weak compartmentaliser")
	}
	return s.str(": ").str(cutCells[judged][column].String()).end()
}
