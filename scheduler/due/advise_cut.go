package due

import (
	"limbround/geo"
	"limbround/scheduler"
)

// cutCell is what the cut table says of a cut.
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

// cutTable is the cut table (common practice): a row for each diameter up to
// the figures of cutRows and one above, a column for each ratio of the branch
// to its parent stem.
var cutTable = [len(cutRows) + 1][3]cutCell{
	{cellRemove, cellRemove, cellWithDose},
	{cellRemove, cellEither, cellReduceFirst},
	{cellReason, cellReduceHold, cellHoldAsk},
	{cellSupervisor, cellSupervisor, cellAssessor},
}

// cellWords are the words of the table, by cutCell.
var cellWords = [...]string{
	"remove", "remove, if the dose allows", "remove, or reduce first", "reduce first", "only with a stated reason", "reduce and hold",
	"hold, ask the supervisor", "the supervisor decides", "a qualified assessor decides",
}

// cutRow is the row of a diameter, and the row it is judged by: one stricter
// for a weak compartmentaliser.
func cutRow(diameter geo.Length, decay scheduler.DecayClass) (row, judged int) {
	for row < len(cutRows) && diameter > cutRows[row] {
		row++
	}
	judged = row
	if decay == scheduler.DecayWeak {
		judged = min(row+1, len(cutRows))
	}
	return row, judged
}

// cutColumn is the column of a ratio: a third of the parent stem, the policy's
// ratio for removal in one step, and above.
func cutColumn(diameter, stem geo.Length, small float64) int {
	switch limit := small * float64(stem); {
	case 3*diameter <= stem && float64(diameter) <= limit:
		return 0
	case float64(diameter) <= limit:
		return 1
	}
	return 2
}

// rowText spells the place in the table that was used.
func (d *draft) rowText(row, judged, column int) phrase {
	s := d.say("")
	switch {
	case row == 0:
		s = s.str("up to ").width(cutRows[0])
	case row < len(cutRows):
		s = s.width(cutRows[row-1]).str(" to ").width(cutRows[row])
	default:
		s = s.str("above ").width(cutRows[len(cutRows)-1])
	}
	small := int(d.smallRatio()*100 + 0.5)
	switch column {
	case 0:
		s = s.str(", ratio up to ").num(min(33, small)).str(" %")
	case 1:
		s = s.str(", ratio 33 to ").num(small).str(" %")
	default:
		s = s.str(", ratio above ").num(small).str(" %")
	}
	if judged != row {
		s = s.str(", judged one row stricter as a weak compartmentaliser")
	}
	return s.str(": ").str(cellWords[cutTable[judged][column]]).end()
}

// smallRatio is the policy's largest ratio for removal in one step.
func (d *draft) smallRatio() float64 {
	if r := d.e.policy.Training.SmallRatio; r > 0 {
		return r
	}
	return 0.5
}
