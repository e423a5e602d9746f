package scheduler

import "limbround/geo"

// PlantingYear says what the policy lets a crew cut in the growing season of the planting.
type PlantingYear string

// The two rules of the planting year.
const (
	PlantingByTable PlantingYear = "by_table"        // the first figure of the dose table (IFAS EP276: 25 %)
	PlantingDead    PlantingYear = "broken_and_dead" // no live cut: broken and dead wood only (common practice)
)

// StructureRules are the figures of structural work that stand beside the
// small cut. A zero figure takes the default, common practice but for
// AllTemporary, which is IFAS EP276's.
type StructureRules struct {
	TemporaryCut   geo.Length   `json:"temporary_cut_mm" yaml:"temporary_cut"`          // a temporary branch is out by this diameter
	TemporaryShare int          `json:"temporary_share_pct" yaml:"temporary_share_pct"` // share of the temporaries still on the tree that a visit takes, largest first: nine go in four visits at half
	AllTemporary   geo.Length   `json:"all_temporary_mm" yaml:"all_temporary_below"`    // on a thinner trunk every branch is temporary
	PermanentShare int          `json:"permanent_share_pct" yaml:"permanent_share_pct"` // the lowest permanent branch is chosen once it attaches at no more than this share of the tree's height
	LeaderTakePct  int          `json:"leader_take_pct" yaml:"leader_take_pct"`         // share of one leader's or side's foliage that may be taken in a growing season
	PlantingYear   PlantingYear `json:"planting_year" yaml:"planting_year"`             // dose in the growing season of the planting
	Source         string       `json:"source" yaml:"source"`                           // of the figures that are given
}

// WithDefaults fills every zero figure.
func (r StructureRules) WithDefaults() StructureRules {
	if r.TemporaryCut == 0 {
		r.TemporaryCut = 30
	}
	if r.TemporaryShare == 0 {
		r.TemporaryShare = 50
	}
	if r.AllTemporary == 0 {
		r.AllTemporary = geo.Inches(4)
	}
	if r.PermanentShare == 0 {
		r.PermanentShare = 65
	}
	if r.LeaderTakePct == 0 {
		r.LeaderTakePct = 50
	}
	if r.PlantingYear == "" {
		r.PlantingYear = PlantingByTable
	}
	if r.Source == "" {
		r.Source = "common practice; all branches temporary under 4 in of caliper: IFAS EP276"
	}
	return r
}

func (r *StructureRules) check(d *policyDecoder) {
	const at = "training.structure"
	if d.given(at + ".temporary_cut") {
		d.length(at+".temporary_cut", r.TemporaryCut, 10, 100)
	}
	d.option(at+".temporary_share_pct", r.TemporaryShare, 10, 100)
	if d.given(at + ".all_temporary_below") {
		d.length(at+".all_temporary_below", r.AllTemporary, 10, 300)
	}
	d.option(at+".permanent_share_pct", r.PermanentShare, 20, 95)
	d.option(at+".leader_take_pct", r.LeaderTakePct, 10, 100)
	if d.given(at + ".planting_year") {
		word(d, at+".planting_year", r.PlantingYear, []PlantingYear{PlantingByTable, PlantingDead})
	}
	if _, given := d.lines[at]; given {
		d.text(at+".source", r.Source)
	}
}
