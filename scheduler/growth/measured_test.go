package growth

import (
	"encoding/csv"
	"flag"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write the golden files anew")

type measuredSet struct {
	curve Curve
	trees []MeasuredTree
}

// measuredSets are the street and park trees measured one by one, from the
// publication whose fits the curves are, in the order of the table.
func measuredSets(t *testing.T) []measuredSet {
	t.Helper()
	m := load(t)
	f, err := os.Open("../../testdata/growth/measured_trees.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []measuredSet
	for _, row := range rows[1:] {
		var v [3]float64
		for i, cell := range row[2:5] {
			v[i] = -1
			if cell == "" {
				continue
			}
			if v[i], err = strconv.ParseFloat(cell, 64); err != nil {
				t.Fatalf("row %v: %v", row, err)
			}
		}
		c := m.set(t, row[0], row[1]).curve()
		if n := len(out); n == 0 || out[n-1].curve.Name != c.Name {
			out = append(out, measuredSet{curve: c})
		}
		s := &out[len(out)-1]
		s.trees = append(s.trees, MeasuredTree{v[0], v[1], v[2]})
	}
	return out
}

// The curves against the trees themselves, one by one: bias and error by class
// of age (dbh) and of dbh (height), beside the published fit's own error, and
// the share of the trees inside the band. These trees made the fits: the table
// shows that the program reads the fits rightly and where a fit bends away from
// its own trees, and not how well a curve does in another city.
func TestCurvesAgainstTheMeasuredTrees(t *testing.T) {
	const (
		enough   = 8   // trees in a class before its bias means anything
		multiple = 0.8 // of the fit's own error that the bias of a class may reach
	)
	var b strings.Builder
	fmt.Fprintln(&b, "curve                                       class        trees     bias     rmse      fit   inside")
	var all [2]errorSum
	heights, heightsIn, classes := 0, 0, 0
	for _, s := range measuredSets(t) {
		for i, rows := range [][]ClassError{s.curve.DBHErrors(s.trees), s.curve.HeightErrors(s.trees)} {
			what, unit := "dbh, cm", "years"
			if i == 1 {
				what, unit = "height, m", "cm"
			}
			for k, e := range rows {
				if e.Trees == 0 {
					continue
				}
				class := fmt.Sprintf("%g-%g %s", e.From, e.To, unit)
				switch {
				case k == len(rows)-1:
					class = "all"
					all[i].n += e.Trees
					all[i].in += int(math.Round(e.Inside * float64(e.Trees)))
				case e.To == 0:
					class = fmt.Sprintf("%g+ %s", e.From, unit)
				}
				fmt.Fprintf(&b, "%-33s %-9s %-12s %5d %8.2f %8.2f %8.2f %8.2f\n", s.curve.Name, what, class, e.Trees, e.Bias, e.RMSE, e.Fit, e.Inside)
				if e.Trees >= enough && k < len(rows)-1 {
					classes++
					if math.Abs(e.Bias) > multiple*e.Fit {
						t.Errorf("%s %s %s: bias %.2f of %d trees, the fit's own error is %.2f", s.curve.Name, what, class, e.Bias, e.Trees, e.Fit)
					}
				}
			}
		}
		in, n := s.curve.HeightInside(s.trees)
		heights, heightsIn = heights+n, heightsIn+in
	}
	fmt.Fprintf(&b, "inside the band: dbh of age %d of %d, height of dbh %d of %d, height of age %d of %d\n",
		all[0].in, all[0].n, all[1].in, all[1].n, heightsIn, heights)
	t.Logf("%d classes of %d trees or more", classes, enough)
	golden(t, "testdata/measured.golden", b.String())
}

func golden(t *testing.T, file, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("%s (-want +got):\n%s", file, diff)
	}
}
