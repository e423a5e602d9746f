package growth

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"limbround/scheduler"
)

const goodLine = "LoMidW,Acer rubrum,ACRU,broadleaf,1,110,quad -0.2702 1.45336 -0.00647 : 1.18 81.32,quad 2.51834 0.34622 -0.00127 : 2.92 22.31,lin 1 0.1 : 1 9,lin 1 0.05 : 1 5\n"

func TestParseTableNamesTheLine(t *testing.T) {
	head := "# a note\n" + strings.Join(columns, ",") + "\n"
	_, err := parseTable([]byte(head + goodLine +
		"LoMidW,Acer rubrum,ACRU,broadleaf,1,110,lin 1 1 : 1 90,lin 1 1 : 1 9,lin 1 1 : 1 9,lin 1 1 : 1 9\n" +
		"LoMidW,Acer nigrum,ACNI,shrub,1,110,,,,\n" +
		"LoMidW,Acer negundo,ACNE,broadleaf,9,5,,,,\n" +
		"LoMidW,Acer campestre,ACCA,broadleaf,1,50,cub 1 1 : 1 90,,,\n" +
		"LoMidW,Acer ginnala,ACGI,broadleaf,1,50,expow1 1 900 0.1 : 1 90,lin 1 1 : 1 9,lin 1 1 : 1 9,lin 1 1 : 1 9\n" +
		"LoMidW,Cocos nucifera,CONU,palm,,,,sine 1 1 : 1 9,,\n"))
	var e *scheduler.Error
	if !errors.As(err, &e) || e.Kind != scheduler.Invalid {
		t.Fatalf("error %v, want kind invalid", err)
	}
	var got []string
	for _, f := range e.Fields {
		got = append(got, f.String())
	}
	want := []string{
		`line 4: scientific "Acer rubrum": repeats the species of an earlier line`,
		`line 5: kind "shrub": want broadleaf, conifer or palm`,
		`line 6: age_max "5": want an age in years, above age_min`,
		`line 7: dbh "cub 1 1 : 1 90": cub has 4 coefficients, then a colon and two published values`,
		`line 8: dbh "expow1 1 900 0.1 : 1 90": has no finite value somewhere in its range`,
		`line 9: height "sine 1 1 : 1 9": form "sine": want one of ` + strings.Join(formNames, ", "),
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("faults (-want +got):\n%s", diff)
	}
}

// Whatever table decodes, its curves are finite, rise and stay in range.
func FuzzParseTable(f *testing.F) {
	head := strings.Join(columns, ",") + "\n"
	f.Add(goodLine)
	f.Add("MidWst,Gleditsia triacanthos,GLTR,broadleaf,1,21,cub 4.22795 -0.82484 0.37243 -0.01051 : 3.77 53.79,cub 0.64936 0.69261 -0.0149 0.00015 : 3.06 18.36,loglogw1 -0.47127 2.22176 0.02171 : 1.7 13.5,lin 0.58489 0.24569 : 1.5 13.8\n")
	f.Add("CenFla,Sabal palmetto,SAPA,palm,,,,cub -2.33853 1.38787 -0.06501 0.00093 : 1.27 9.42,,\n")
	f.Add("X,Y z,YZ,conifer,0,9,quart 0 9 -6 1 0.01 : 0 99,loglogw4 0 -1 0.1 : 0 5,expow3 0 -1 0.1 : 0 5,loglogw3 0 1 0 : 0 5\n")
	f.Fuzz(func(t *testing.T, lines string) {
		sets, err := parseTable([]byte(head + lines))
		if err != nil {
			return
		}
		for _, s := range sets {
			for _, r := range []*rise{&s.dbh, &s.height, &s.crown} {
				if s.kind == palm && r != &s.height {
					continue
				}
				before := math.Inf(-1)
				for i := range 41 {
					x := r.lo + (r.hi-r.lo)*float64(i)/40
					y := r.at(x)
					if math.IsNaN(y) || y < before-1e-3*max(1, math.Abs(before)) {
						t.Fatalf("%q: %g after %g at %g", lines, y, before, x)
					}
					before = y
					if back := r.inverse(y); !(back >= r.lo && back <= r.hi) {
						t.Fatalf("%q: inverse of %g is %g, outside %g to %g", lines, y, back, r.lo, r.hi)
					}
				}
			}
		}
	})
}
