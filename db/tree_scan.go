package db

import (
	"limbround/geo"
	"limbround/scheduler"
)

// treeFact takes one row of the view tree_fact. Its fields are scanned in the
// order of the view's columns; fields is that order, and a test holds the two together.
type treeFact struct {
	tree     scheduler.Tree
	site     scheduler.Site
	revision int
	along    geo.Length
	district *int64
	section  *int64
}

// fields are the scan targets for SELECT f.* FROM tree_fact f.
func (f *treeFact) fields() []any {
	t, s := &f.tree, &f.site
	return []any{
		&t.ID, &t.Ref, &t.SiteID, &t.Species, &t.State, &t.Planted, &t.Precision, &t.Caliper,
		&t.Stems, &t.Stage, &t.Vigour, &t.DBH, &t.Height, &t.Crown, &t.MeasuredOn, &t.BaseRoad, &t.BaseWalk,
		&t.BaseOn, &t.Permanent, &t.LastTraining, &t.LastRotation, &t.LastRaise, &t.LastVisit, &t.BrokenOn,
		&t.LastRestored, &t.LastInspected, &t.LastWatered, &t.LastSprouts, &t.DoseSeason, &t.DoseUsed, &f.revision,
		&s.Ref, &s.Owner, &s.Address, &s.Position.X, &s.Position.Y,
		&s.District, &s.Section, &s.StreetID,
		&s.StreetSide, &s.FaceID,
		&s.StreetClass, &s.SpeedKmh,
		&s.BusRoute, &s.TruckRoute,
		&s.Parking, &s.ToCurb, &s.ToLane, &s.HalfRoad, &s.ToWalk,
		&s.WireClass, &s.WireVolts, &s.ToWire, &s.WireHeight, &s.ToSign, &s.ToLight,
		&s.ToJunction, &s.InSight, &f.along, &f.district, &f.section,
	}
}

// both returns the tree and its site once a row is scanned.
func (f *treeFact) both() scheduler.TreeSite {
	f.site.ID = f.tree.SiteID
	return scheduler.TreeSite{Tree: f.tree, Site: f.site}
}
