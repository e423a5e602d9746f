package growth

import (
	"math"
	"testing"

	"limbround/scheduler"
)

// Sizes by years since planting, as worked separately from the published
// coefficients: dbh in cm and height in m, each to one decimal.
func TestSizesByAge(t *testing.T) {
	m := load(t)
	type point struct{ age, dbh, height float64 }
	for _, tt := range []struct {
		region, species string
		points          []point
	}{
		{"NoEast", "Platanus x acerifolia", []point{{3, 6.2, 5.1}, {6, 9.9, 6.2}, {9, 13.5, 7.1}, {12, 16.9, 8.1}, {16, 21.3, 9.2}, {20, 25.5, 10.2}}},
		{"NoEast", "Ginkgo biloba", []point{{20, 22.6, 10.2}}},
		{"NoEast", "Quercus palustris", []point{{20, 28.9, 10.0}}},
		{"MidWst", "Ulmus americana", []point{{2, 6.7, 5.2}, {4, 9.6, 6.8}, {6, 12.4, 8.1}, {8, 15.2, 9.3}, {11, 19.4, 10.8}}},
		{"LoMidW", "Malus spp.", []point{{7, 10.6, 4.1}, {10, 14.0, 4.7}, {13, 17.5, 5.3}, {17, 22.1, 6.2}, {20, 25.6, 6.8}}},
		{"LoMidW", "Acer rubrum", []point{{5, 6.8, 4.8}}},
		{"NoEast", "Tilia cordata", []point{{3, 6.9, 4.7}, {6, 10.9, 5.8}, {12, 18.3, 7.6}, {20, 27.1, 9.5}}},
		{"MidWst", "Gleditsia triacanthos", []point{{9, 19.3, 9.5}, {12, 29.8, 12.1}, {14, 36.8, 13.5}}}, // 12.0 and 13.4 without the restored digits
		{"CenFla", "Quercus virginiana", []point{{4, 5.2, 3.7}, {6, 11.2, 5.0}, {8, 17.0, 6.3}, {10, 22.6, 7.4}, {13, 30.4, 9.0}, {16, 37.9, 10.4}, {20, 47.1, 12.0}}},
		{"NoEast", "Zelkova serrata", []point{{9, 14.1, 7.1}, {11, 16.7, 7.9}, {13, 19.4, 8.6}, {16, 23.4, 9.7}, {20, 28.7, 10.8}}},
	} {
		c := m.Curve(tt.region, scheduler.Species{Scientific: tt.species})
		if c.Fallback != "" {
			t.Errorf("%s %s: fallback %q", tt.region, tt.species, c.Fallback)
		}
		for _, p := range tt.points {
			cm, beyond := c.DBH(p.age)
			if math.Abs(cm-p.dbh) > 0.06 || math.Abs(c.Height(cm)-p.height) > 0.06 || beyond {
				t.Errorf("%s %s age %g: dbh %.2f cm, height %.2f m, want %g and %g", tt.region, tt.species, p.age, cm, c.Height(cm), p.dbh, p.height)
			}
		}
	}
}

func TestLondonPlaneInQueens(t *testing.T) {
	c := load(t).Curve("NoEast", scheduler.Species{Scientific: "Platanus × acerifolia"})
	for _, tt := range []struct{ age, dbh, height, crown, base float64 }{
		{5, 8.70, 5.82, 3.45, 2.15},
		{10, 14.64, 7.46, 5.47, 2.56},
		{15, 20.23, 8.92, 7.05, 2.92},
		{20, 25.47, 10.23, 8.33, 3.24},
		{30, 34.88, 12.44, 10.32, 3.74},
	} {
		cm, _ := c.DBH(tt.age)
		for what, got := range map[string][2]float64{
			"dbh": {cm, tt.dbh}, "height": {c.Height(cm), tt.height}, "crown": {c.Crown(cm), tt.crown}, "crown base": {c.CrownBase(cm), tt.base},
		} {
			if math.Abs(got[0]-got[1]) > 0.011 {
				t.Errorf("age %g: %s %.3f, want %g", tt.age, what, got[0], got[1])
			}
		}
	}
}
