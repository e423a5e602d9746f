package jobs

import (
	"fmt"
	"slices"
	"strconv"

	"limbround/geo"
	"limbround/scheduler"
)

// check refuses the description of a tree that cannot be one.
func (q *AdviseRequest) check() error {
	var faults []scheduler.Fault
	refuse := func(field, value, rule string) {
		faults = append(faults, scheduler.Fault{Field: field, Value: value, Rule: rule})
	}
	if q.DBH < geo.None || q.DBH > 6*geo.Metre {
		refuse("dbh_mm", strconv.Itoa(int(q.DBH)), "want 0 to 6000")
	}
	if q.Height < geo.None || q.Height > 100*geo.Metre {
		refuse("tree_height_mm", strconv.Itoa(int(q.Height)), "want 0 to 100000")
	}
	if !(q.Age >= 0 && q.Age <= 200) {
		refuse("age_years", fmt.Sprint(q.Age), "want 0 to 200")
	}
	if vigours := []scheduler.Vigour{"", scheduler.VigourGood, scheduler.VigourFair, scheduler.VigourPoor}; !slices.Contains(vigours, q.Vigour) {
		refuse("vigour", string(q.Vigour), fmt.Sprintf("want one of %q", vigours))
	}
	if q.Stage != "" && !slices.Contains(scheduler.Stages(), q.Stage) {
		refuse("stage", string(q.Stage), fmt.Sprintf("want one of %q", scheduler.Stages()))
	}
	if len(faults) > 0 {
		return &scheduler.Error{Kind: scheduler.Invalid, Message: "the description of the tree breaks rules", Fields: faults}
	}
	return nil
}
