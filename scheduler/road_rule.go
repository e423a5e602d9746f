package scheduler

import "limbround/geo"

// OverLane are the heights over the travel lane nearest to the tree, and
// whether they are those of a bus or truck lane. Of a street that is both, at
// each level the higher counts.
func (r *RoadRule) OverLane(s *Site) (HeightRule, bool) {
	heights, tall := r.AtLane, false
	if s.BusRoute && r.BusLane.Legal > 0 {
		heights, tall = heights.higher(r.BusLane), true
	}
	if s.TruckRoute && r.TruckLane.Legal > 0 {
		heights, tall = heights.higher(r.TruckLane), true
	}
	return heights, tall
}

// higher takes the greater height at each level; the source is that of the
// greater legal height, the rule's own where they are equal and no other height differs.
func (h HeightRule) higher(o HeightRule) HeightRule {
	out := HeightRule{Legal: max(h.Legal, o.Legal), ActAt: max(h.ActAt, o.ActAt), ClearTo: max(h.ClearTo, o.ClearTo), Source: o.Source}
	if h.Legal > o.Legal || (out.Legal == h.Legal && out.ActAt == h.ActAt && out.ClearTo == h.ClearTo) {
		out.Source = h.Source
	}
	return out
}

// Droop is how far low limbs of the species sink below where they are seen
// dry: wet and in leaf, or under snow where the city has snow, whichever is
// more. Conifers hold snow in winter, and so do species rated high for wet or
// leaf-on snow: they sink further (common practice, from memory).
func (p *Policy) Droop(s *Species) geo.Length {
	snow := s.Droop * geo.Length(p.Clearance.SnowDroop) / 100
	if s.Habit == Conifer || s.WetSnow == RatingHigh || s.LeafSnow == RatingHigh {
		snow = snow * geo.Length(p.Clearance.WithDefaults().SnowHold) / 100
	}
	return max(s.Droop, snow)
}
