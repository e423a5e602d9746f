package scheduler

// PlanItem is one open visit with what the annual plan places it by.
type PlanItem struct {
	Visit   Visit  // without what crews read of it
	Species string // code of the tree's species, empty for none
	FaceID  int64  // block face, 0 for none
	Section string // section reference, empty for none
	Class   StreetClass
}
