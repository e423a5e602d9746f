package jobs

import (
	"math"
	"strings"
	"testing"

	"limbround/scheduler"
)

// Whatever a file of measured trees holds, it is refused as a bad input or its
// figures are numbers and no tree is counted twice.
func FuzzCompareGrowth(f *testing.F) {
	species, err := scheduler.SpeciesTable()
	if err != nil {
		f.Fatal(err)
	}
	f.Add("NoEast,QUPA,20,28.9,10\nNoEast,QUPA,,28.9,\n")
	f.Add("CenFla,Sabal palmetto,9,30,4\nTropic,nothing known,0,0,0\n")
	f.Add("MidWst,GLTR,NaN,1e300,-1\n\"")
	f.Fuzz(func(t *testing.T, text string) {
		got, err := CompareGrowth(strings.NewReader("region,species,age,dbh_cm,height_m\n"+text), species)
		if err != nil {
			if scheduler.KindOf(err) != scheduler.Invalid {
				t.Fatalf("%q: %v", text, err)
			}
			return
		}
		for _, g := range got {
			sum := 0
			for i, e := range g.DBH {
				if math.IsNaN(e.Bias + e.RMSE + e.Fit + e.Inside) {
					t.Fatalf("%q: %+v", text, e)
				}
				if i < len(g.DBH)-1 {
					sum += e.Trees
				} else if e.Trees != sum || sum > g.Trees {
					t.Fatalf("%q: %d trees in classes, %d in all of %d", text, sum, e.Trees, g.Trees)
				}
			}
			for _, e := range g.Height {
				if math.IsNaN(e.Bias + e.RMSE + e.Fit + e.Inside) {
					t.Fatalf("%q: %+v", text, e)
				}
			}
		}
	})
}
