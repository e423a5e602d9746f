package city

import "math/rand/v2"

// kind is one species as planted in the invented city. The figures are rough,
// from memory, and only have to look right: sizes on real sites come from
// published curves.
type kind struct {
	name    string  // scientific
	small   bool    // fits under wires
	conifer bool    // never trained to remove its leader, low branches stay
	season  string  // oak, elm: live cuts in winter only; fire_blight: late winter only
	grow    float64 // dbh, cm a year when young
	top     float64 // height of an old street tree, m
	old     float64 // share of planting 45 years ago
	now     float64 // share of planting today
}

func kinds() []kind {
	return []kind{
		{"Acer rubrum", false, false, "", 1.25, 19, 6, 6},
		{"Acer platanoides", false, false, "", 1.15, 17, 14, 0.2},
		{"Acer saccharinum", false, false, "", 1.8, 23, 9, 0.1},
		{"Acer saccharum", false, false, "", 1.0, 21, 5, 2},
		{"Fraxinus pennsylvanica", false, false, "", 1.4, 20, 13, 0},
		{"Quercus palustris", false, false, "oak", 1.4, 22, 7, 2.5},
		{"Quercus rubra", false, false, "oak", 1.3, 22, 4, 5},
		{"Quercus bicolor", false, false, "oak", 1.1, 19, 0.5, 6},
		{"Platanus x acerifolia", false, false, "", 1.5, 24, 4, 5},
		{"Gleditsia triacanthos", false, false, "", 1.4, 18, 7, 6},
		{"Ulmus americana", false, false, "elm", 1.7, 23, 2, 5},
		{"Tilia cordata", false, false, "", 1.25, 18, 6, 4},
		{"Ginkgo biloba", false, false, "", 0.9, 18, 1.5, 4.5},
		{"Zelkova serrata", false, false, "", 1.35, 18, 1, 5},
		{"Pyrus calleryana", false, false, "fire_blight", 1.4, 12, 7, 0.3},
		{"Liquidambar styraciflua", false, false, "", 1.25, 20, 2, 3},
		{"Celtis occidentalis", false, false, "", 1.2, 18, 2, 4.5},
		{"Taxodium distichum", false, true, "", 1.3, 20, 0.3, 3},
		{"Liriodendron tulipifera", false, false, "", 1.6, 24, 1.5, 2.5},
		{"Gymnocladus dioicus", false, false, "", 1.0, 18, 0.3, 4.5},
		{"Betula nigra", false, false, "", 1.5, 15, 0.8, 2.5},
		{"Catalpa speciosa", false, false, "", 1.3, 18, 1.5, 0.8},
		{"Picea pungens", false, true, "", 1.0, 16, 1.5, 0.3},
		{"Pinus strobus", false, true, "", 1.5, 20, 1, 0.5},
		{"Carpinus betulus", false, false, "", 0.9, 12, 0.2, 2.5},
		{"Malus spp.", true, false, "fire_blight", 1.0, 7, 4, 5},
		{"Amelanchier spp.", true, false, "fire_blight", 0.8, 6.5, 0.5, 4},
		{"Cercis canadensis", true, false, "", 0.9, 7.5, 1, 3.5},
		{"Syringa reticulata", true, false, "", 0.8, 7.5, 0.5, 4},
		{"Prunus serrulata", true, false, "", 1.0, 7.5, 1.5, 1.5},
	}
}

// species draws a kind for a tree planted some years ago. Small ones are
// wanted under wires, and the more so the later the tree was planted.
func (c *City) speciesFor(r *rand.Rand, years float64, underWires bool) *kind {
	then := min(max(years/40, 0), 1)
	small := 1.0
	if underWires {
		small = 10 - 6*then
	}
	weights := make([]float64, 0, 32)
	for i := range c.species {
		k := &c.species[i]
		w := k.old*then + k.now*(1-then)
		if k.small {
			w *= small
		}
		weights = append(weights, w)
	}
	return &c.species[pick(r, weights)]
}
