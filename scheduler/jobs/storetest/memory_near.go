package storetest

import "limbround/geo"

const onOneSpot = 0.5 // metres

// standingNear is the nearest standing tree, of the file or of those that stay
// where they are.
func (p *spots) standingNear(j *judged) (ref, species string, away float64) {
	here, best := j.at.pts[0], onOneSpot
	for _, t := range p.taken {
		if d := t.row.at.pts[0].Distance(here); upright(t.row.want.tree.State) && (d < best || d <= best && ref == "") {
			ref, species, best = t.row.ref, t.row.want.tree.Species, d
		}
	}
	inFile := ref != ""
	for _, o := range byID(p.s.trees, every) {
		state := o.State
		if row := p.stays[o.ID]; row != nil {
			if state = row.want.tree.State; row.want.moved {
				continue
			}
		}
		if d := p.s.sites[o.SiteID].at.Distance(here); upright(state) && o.ID != j.want.tree.ID && (d < best || d <= best && (ref == "" || inFile)) {
			ref, species, best, inFile = o.Ref, o.Species, d, false
		}
	}
	return ref, species, best
}

// siteNear is the nearest site on the spot that stays where it is, 0 for none.
func (p *spots) siteNear(here geo.Point) int64 {
	var id int64
	best := onOneSpot
	for _, o := range byID(p.s.trees, every) {
		if row := p.stays[o.ID]; row != nil && row.want.moved {
			continue
		}
		if d := p.s.sites[o.SiteID].at.Distance(here); d < best || d <= best && (id == 0 || o.SiteID < id) {
			id, best = o.SiteID, d
		}
	}
	return id
}

// takenNear is the nearest place of the file on the spot, one with a standing
// tree before one without.
func (p *spots) takenNear(here geo.Point) *spot {
	var near []spot
	for _, t := range p.taken {
		if t.row.at.pts[0].Distance(here) <= onOneSpot {
			near = append(near, t)
		}
	}
	sortBy(near, func(t *spot) []any {
		return []any{!upright(t.row.want.tree.State), t.row.at.pts[0].Distance(here), t.row.line}
	})
	if len(near) == 0 {
		return nil
	}
	return &near[0]
}
