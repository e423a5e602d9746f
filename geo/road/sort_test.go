package road

import (
	"math/rand/v2"
	"testing"

	"limbround/geo"
)

// Trucks of one sort pass the same blocks.
func TestSortKeepsWhatATruckMayUse(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		g := &Graph{limited: true, blocks: make([]block, 1+rng.IntN(6))}
		for i := range g.blocks {
			g.blocks[i].maxHeight = geo.Length(rng.IntN(4) * 1000) // 0 is no limit
			g.blocks[i].maxKg = rng.IntN(4) * 5000
		}
		for range 40 {
			truck := Truck{Height: geo.Length(rng.IntN(4500)), WeightKg: rng.IntN(22_000)}
			sort := g.Sort(truck)
			for i := range g.blocks {
				b := &g.blocks[i]
				if truck.passes(b.maxHeight, b.maxKg) != sort.passes(b.maxHeight, b.maxKg) {
					t.Fatalf("%+v and its sort %+v differ on a block of %d mm, %d kg", truck, sort, b.maxHeight, b.maxKg)
				}
			}
		}
	}
}
