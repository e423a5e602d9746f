package jobs

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"limbround/scheduler"
	"limbround/scheduler/growth"
)

// GrowthComparison holds a list of measured trees against one curve.
type GrowthComparison struct {
	Region   string              `json:"region"`
	Species  string              `json:"species"`
	Curve    string              `json:"curve"`
	Fallback string              `json:"fallback,omitempty"`
	Trees    int                 `json:"trees"`
	DBH      []growth.ClassError `json:"dbh"`    // cm, by class of age, the last row of all
	Height   []growth.ClassError `json:"height"` // m, by class of dbh in cm, the last row of all
}

var compareColumns = []string{"region", "species", "age", "dbh_cm", "height_m"}

// CompareGrowth reads measured trees as CSV with the columns region, species
// (code or name), age, dbh_cm and height_m, an empty field being not measured,
// and holds each species of each region against its curve. A line that cannot
// be read is a Fault; all come back together.
func CompareGrowth(r io.Reader, species []scheduler.Species) ([]GrowthComparison, error) {
	model, err := growth.Load()
	if err != nil {
		return nil, fmt.Errorf("load growth curves: %w", err)
	}
	in := csv.NewReader(r)
	in.Comment = '#'
	head, err := in.Read()
	if err != nil || !slices.Equal(head, compareColumns) {
		return nil, scheduler.Errorf(scheduler.Invalid, "measured trees: the first line names the columns %s", strings.Join(compareColumns, ","))
	}
	trees := map[[2]string][]growth.MeasuredTree{}
	var order [][2]string
	var faults []scheduler.Fault
	for {
		row, err := in.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, scheduler.Wrap(scheduler.Invalid, "read measured trees", err)
		}
		t, field, err := measuredTree(row)
		if err != nil {
			line, _ := in.FieldPos(0)
			faults = append(faults, scheduler.Fault{Line: line, Field: field, Value: row[slices.Index(compareColumns, field)], Rule: err.Error()})
			continue
		}
		key := [2]string{row[0], row[1]}
		if trees[key] == nil {
			order = append(order, key)
		}
		trees[key] = append(trees[key], t)
	}
	if len(faults) > 0 {
		e := scheduler.Errorf(scheduler.Invalid, "measured trees: %s", faults[0])
		e.Fields = faults
		return nil, e
	}
	var out []GrowthComparison
	for _, key := range order {
		sp, ok := speciesNamed(key[1], species)
		if !ok {
			sp = scheduler.Species{Scientific: key[1]}
		}
		c := model.Curve(key[0], sp)
		out = append(out, GrowthComparison{
			Region: key[0], Species: sp.Scientific, Curve: c.Name, Fallback: c.Fallback, Trees: len(trees[key]),
			DBH: c.DBHErrors(trees[key]), Height: c.HeightErrors(trees[key]),
		})
	}
	return out, nil
}

// measuredTree reads one line; with an error it names the column at fault.
func measuredTree(row []string) (growth.MeasuredTree, string, error) {
	v := [3]float64{-1, -1, -1}
	if _, ok := growth.RegionOf(row[0]); !ok {
		return growth.MeasuredTree{}, "region", fmt.Errorf("want one of %s", strings.Join(regionCodes(), ", "))
	}
	for i := range v {
		if row[2+i] == "" {
			continue
		}
		f, err := strconv.ParseFloat(row[2+i], 64)
		if err != nil || !(f >= 0 && f < 1000) {
			return growth.MeasuredTree{}, compareColumns[2+i], fmt.Errorf("want a number of zero or more, or nothing")
		}
		v[i] = f
	}
	return growth.MeasuredTree{Age: v[0], DBH: v[1], Height: v[2]}, "", nil
}
