package growth

import (
	"bytes"
	_ "embed"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"limbround/scheduler"
)

//go:embed scatter.csv
var scatterCSV []byte

var scatterColumns = []string{"region", "scientific", "dbh", "height", "crown"}

// scatter is how far single trees lie off a curve: the variance of a tree
// about it is variance * x^power in the curve's own unit, or of the logarithm
// where the fit is of logarithms. The zero scatter is not known.
type scatter struct {
	variance float64
	power    float64
	logs     bool
	fitted   bool
}

// deviation is the standard deviation at x: of the value, or of its logarithm.
func (s *scatter) deviation(x float64) float64 {
	v := s.variance
	switch s.power {
	case 0.5:
		v *= math.Sqrt(x)
	case 1:
		v *= x
	case 2:
		v *= x * x
	}
	return math.Sqrt(v)
}

// sides are the half-widths, below and above y, of the band that holds
// Coverage of the trees; the deviation counts at least as the given share of y.
func (s *scatter) sides(y, x, least float64) width {
	z := bandWidth * s.deviation(max(x, 0))
	if s.logs {
		z = max(z, bandWidth*least)
		return width{down: y * (1 - math.Exp(-z)), up: y * (math.Exp(z) - 1)}
	}
	z = max(z, bandWidth*least*y)
	return width{down: min(z, y), up: z}
}

// scatterOf reads the table of scatter beside the sets of the curve table. A
// line for an unknown set, a set other than a palm's without its three figures
// and a cell that cannot be read are each a fault.
func scatterOf(b []byte, sets []*set) error {
	r := csv.NewReader(bytes.NewReader(b))
	r.Comment = '#'
	r.FieldsPerRecord = len(scatterColumns)
	var faults []scheduler.Fault
	for head := true; ; head = false {
		row, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return scheduler.Wrap(scheduler.Invalid, "read scatter table", err)
		}
		if head {
			if !slices.Equal(row, scatterColumns) {
				return scheduler.Errorf(scheduler.Invalid, "scatter table: the first line names the columns %s", strings.Join(scatterColumns, ","))
			}
			continue
		}
		if field, err := scatterRow(row, sets); err != nil {
			line, _ := r.FieldPos(0)
			faults = append(faults, scheduler.Fault{Line: line, Field: field, Value: row[slices.Index(scatterColumns, field)], Rule: err.Error()})
		}
	}
	for _, s := range sets {
		if s.kind != palm && len(faults) == 0 && slices.ContainsFunc(s.scatter[:], func(c scatter) bool { return !c.fitted }) {
			faults = append(faults, scheduler.Fault{Field: "scientific", Value: s.region + " " + s.name, Rule: "has a curve and no scatter"})
		}
	}
	if len(faults) > 0 {
		e := scheduler.Errorf(scheduler.Invalid, "scatter table: %s", faults[0])
		e.Fields = faults
		return e
	}
	return nil
}

// scatterRow reads one line; with an error it names the column at fault.
func scatterRow(row []string, sets []*set) (string, error) {
	s := find(sets, func(s *set) bool { return s.region == row[0] && s.name == row[1] })
	if s == nil {
		return "scientific", fmt.Errorf("has no curve in %s", row[0])
	}
	for i := range s.scatter {
		if row[2+i] == "" && s.kind == palm {
			continue
		}
		c, err := parseScatter(row[2+i])
		if err != nil {
			return scatterColumns[2+i], err
		}
		c.logs = s.printed[i].form > quart
		s.scatter[i] = c
	}
	return "", nil
}

// parseScatter reads "22.67922 0.5 54 51": the mean squared residual, the power
// by which it grows, the number of trees and the degrees of freedom. The mean is
// over the trees; the degrees of freedom make a variance of it.
func parseScatter(cell string) (scatter, error) {
	words := strings.Fields(cell)
	if len(words) != 4 {
		return scatter{}, fmt.Errorf("want a mean square, a power, a number of trees and degrees of freedom")
	}
	var f [4]float64
	for i, w := range words {
		v, err := strconv.ParseFloat(w, 64)
		if err != nil {
			return scatter{}, fmt.Errorf("%q: want a number", w)
		}
		f[i] = v
	}
	if !(f[0] >= 0 && f[0] < 1e6) || !slices.Contains([]float64{0, 0.5, 1, 2}, f[1]) || !(f[3] >= 1 && f[3] < f[2] && f[2] < 1e6) {
		return scatter{}, fmt.Errorf("want a mean square, a power of 0, 0.5, 1 or 2, and fewer degrees of freedom than trees")
	}
	return scatter{variance: f[0] * f[2] / f[3], power: f[1], fitted: true}, nil
}
