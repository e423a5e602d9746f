package storetest

import (
	"fmt"

	"limbround/scheduler"
)

// judgeTrees finds what each row of a tree file would make. Two standing trees
// do not stand on one spot: within half a metre the same species under another
// key is a second copy and is merged, another species is a fault. A tree that is
// gone, or a vacant site, shares the site that is there.
func (s *state) judgeTrees(rows []judged) {
	for i := range rows {
		j := &rows[i]
		if code, there := j.f["species"].(string); there && s.species[code].Code == "" {
			j.fault("species", code, "a species is named by a code of the species table")
		}
		j.want = s.wantOf(j, 0)
		if w := &j.want; w.tree.State == scheduler.Alive && w.tree.Species == "" {
			j.fault("species", "", "a living tree has a species")
		}
		if w := &j.want; !w.isNew && upright(w.tree.State) && !upright(w.have.State) {
			for _, o := range byID(s.trees, func(o *treeRow) bool { return o.SiteID == w.tree.SiteID && o.ID != w.tree.ID && upright(o.State) }) {
				j.fault("state", string(w.tree.State), fmt.Sprintf("one tree stands on a site; %s stands there now", o.Ref))
			}
		}
	}
	s.settleSpots(rows)
	for i := range rows {
		switch j := &rows[i]; {
		case len(j.faults) > 0:
			j.verdict = "fault"
		case j.verdict != "":
		case j.want.isNew:
			j.verdict = "new"
		case j.want.treeDiffers || j.want.siteDiffers:
			j.verdict = "changed"
			before := s.sites[j.want.have.SiteID]
			j.changes = differences(j, s.treeFields(j.want.have.Tree, before), s.treeFields(j.want.tree, j.want.site))
			if j.want.moved {
				far := fmt.Sprintf("moved by %.2f m", before.at.Distance(j.want.site.at))
				j.changes = append(j.changes, scheduler.Change{Line: j.line, Ref: j.ref, Field: "position", After: far})
			}
		default:
			j.verdict = "unchanged"
		}
	}
}

func (s *state) treeFields(t scheduler.Tree, site siteRow) f {
	return f{
		"species": t.Species, "state": t.State, "planted": t.Planted, "planted_precision": t.Precision, "caliper_mm": t.Caliper,
		"stems": t.Stems, "stage": t.Stage, "vigour": t.Vigour, "dbh_mm": t.DBH, "height_mm": t.Height, "crown_spread_mm": t.Crown,
		"measured_on": t.MeasuredOn, "base_road_mm": t.BaseRoad, "base_walk_mm": t.BaseWalk, "base_on": t.BaseOn,
		"owner": site.owner, "address": site.address,
	}
}

// spot is a place that a row of the file takes.
type spot struct {
	row  *judged
	site int64 // 0 for one that the file makes
}

// spots are the places taken so far, and what became of the rows.
type spots struct {
	s     *state
	stays map[int64]*judged // by tree: what the file makes of a known one
	taken []spot
	full  map[int64]bool // sites that got a standing tree of this file
}

// settleSpots goes through the rows that are new or move, those of known trees
// first, standing ones first, then by line. A known tree that may not move stays
// where it was, which the others have to reckon with: then all begins again.
func (s *state) settleSpots(rows []judged) {
	for again := true; again; {
		p := spots{s: s, stays: map[int64]*judged{}, full: map[int64]bool{}}
		var list []*judged
		for i := range rows {
			j := &rows[i]
			if j.verdict, j.into, j.why = "", "", ""; len(j.faults) > 0 {
				continue
			}
			if j.want.share = nil; j.want.isNew {
				j.want = s.wantOf(j, 0)
			} else {
				p.stays[j.want.tree.ID] = j
			}
			if j.want.isNew || j.want.moved {
				list = append(list, j)
			}
		}
		sortBy(list, func(j **judged) []any { return []any{(*j).want.isNew, !upright((*j).want.tree.State), (*j).line} })
		again = false
		var found []*judged
		for _, j := range list {
			if p.settle(j); len(j.faults) > 0 {
				found = append(found, j)
				again = again || !j.want.isNew
			}
		}
		for _, j := range found {
			if again && j.want.isNew {
				j.faults = nil
			}
		}
	}
}

// settle decides about one row.
func (p *spots) settle(j *judged) {
	w := &j.want
	stands, vacant := upright(w.tree.State), w.tree.State == scheduler.Vacant
	if other, species, away := p.standingNear(j); other != "" && (stands || vacant) {
		switch {
		case vacant:
			j.fault("position", fmt.Sprint(w.site.at), fmt.Sprintf("a vacant site has no tree, but %s stands %.2f m away", other, away))
		case w.isNew && w.tree.Species != "" && species == w.tree.Species:
			j.verdict, j.into, j.why = "merged", other, fmt.Sprintf("same position and species, %.2f m apart", away)
		default:
			j.fault("position", fmt.Sprint(w.site.at), fmt.Sprintf("two trees on one spot: %s stands %.2f m away", other, away))
		}
		return
	}
	site := w.site.id
	if w.isNew {
		site = p.siteNear(j.at.pts[0])
		if stands && p.full[site] {
			site = 0
		}
		if near := p.takenNear(j.at.pts[0]); site == 0 && near != nil && !stands {
			if near.site == 0 {
				w.share = near.row
				return
			}
			site = near.site
		}
		if site != 0 {
			j.want = p.s.wantOf(j, site)
		}
	}
	if stands && site != 0 {
		p.full[site] = true
	}
	p.taken = append(p.taken, spot{j, site})
}
