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

func newCutTable(p *scheduler.PracticeRules) cutTable {
	var c cutTable
	copy(c.rows[:], p.CutRows)
	copy(c.ratios[:], p.CutRatios)
	return c
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

// cutWord is what the table answers about a removal.
type cutWord int

const (
	cutRemove cutWord = iota
	cutReason
	cutReduce
	cutSupervisor
	cutAssessor
)

var cutWords = [...]string{
	cutRemove: "remove", cutReason: "only with a stated reason", cutReduce: "reduce first, do not remove yet",
	cutSupervisor: "ask the supervisor", cutAssessor: "a qualified assessor decides",
}

func (w cutWord) String() string { return cutWords[w] }

var cutAnswers = [4][3]cutWord{
	{cutRemove, cutRemove, cutRemove},
	{cutRemove, cutRemove, cutReduce},
	{cutReason, cutReduce, cutSupervisor},
	{cutSupervisor, cutSupervisor, cutAssessor},
}

// judge answers about the removal of a branch from its parent stem. A stem that
// was not measured is taken as thick: the diameter alone then judges.
func (c *cutTable) judge(branch, stem geo.Length, decay scheduler.DecayClass) cutWord {
	row, column := len(c.rows), len(c.ratios)
	for i := len(c.rows) - 1; i >= 0 && branch <= c.rows[i]; i-- {
		row = i
	}
	if decay == scheduler.DecayWeak {
		row = min(row+1, len(c.rows))
	}
	if stem <= 0 {
		return cutAnswers[row][0]
	}
	ratio := float64(branch) / float64(stem)
	for i := len(c.ratios) - 1; i >= 0 && ratio <= c.ratios[i]; i-- {
		column = i
	}
	return cutAnswers[row][column]
}
