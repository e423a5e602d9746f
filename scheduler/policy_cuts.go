package scheduler

import (
	"fmt"
	"strconv"

	"limbround/geo"
)

// The cut table has three rows, each ending at a diameter, and two ratios; what
// lies beyond the last of either is its own row and column.
const (
	cutRowCount   = 3
	cutRatioCount = 2
)

// checkCuts refuses a cut table of another shape, and one whose rows or ratios do not rise.
func (p *PracticeRules) checkCuts(d *policyDecoder) {
	const rows, ratios = "practice.cut_rows", "practice.cut_ratios"
	if d.given(rows) && len(p.CutRows) != cutRowCount {
		d.refuse(rows, strconv.Itoa(len(p.CutRows)), "want three diameters, each the end of a row of the cut table: [25 mm, 50 mm, 100 mm]")
	}
	if d.given(ratios) && len(p.CutRatios) != cutRatioCount {
		d.refuse(ratios, strconv.Itoa(len(p.CutRatios)), "want two ratios of a cut to its parent stem: [0.333, 0.5]")
	}
	for i, row := range p.CutRows {
		at := fmt.Sprintf("%s[%d]", rows, i)
		if d.length(at, row, 5, 400*geo.Millimetre) && i > 0 && row <= p.CutRows[i-1] {
			d.refuse(at, row.String(), "the rows of the cut table stand in rising order")
		}
	}
	for i, ratio := range p.CutRatios {
		at := fmt.Sprintf("%s[%d]", ratios, i)
		d.figure(at, ratio, 0.1, 0.95)
		if i > 0 && d.given(at) && ratio <= p.CutRatios[i-1] {
			d.refuse(at, strconv.FormatFloat(ratio, 'g', -1, 64), "the ratios of the cut table stand in rising order")
		}
	}
}
