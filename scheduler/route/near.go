package route

import "slices"

// nearCount is the number of neighbours kept for each group.
const nearCount = 40

// neighbours fills near: for each atom the others of its own group, then the
// atoms of the nearest groups by travel there and back.
func (m *model) neighbours() {
	type other struct {
		far int
		g   int32
	}
	m.near = make([][]int32, len(m.atoms))
	heap := make([]other, 0, nearCount+1)
	worse := func(a, b other) int {
		if a.far != b.far {
			return a.far - b.far
		}
		return int(a.g - b.g)
	}
	for g := range m.group {
		heap = heap[:0]
		place := m.atoms[m.group[g][0]].place
		for h := range m.group {
			if h == g {
				continue
			}
			to := m.atoms[m.group[h][0]].place
			o := other{m.travel(0, place, to) + m.travel(0, to, place), int32(h)}
			if len(heap) == nearCount && worse(o, heap[nearCount-1]) >= 0 {
				continue
			}
			// Insertion into a short sorted list: most candidates fail the test above.
			at, _ := slices.BinarySearchFunc(heap, o, worse)
			heap = slices.Insert(heap, at, o)
			if len(heap) > nearCount {
				heap = heap[:nearCount]
			}
		}
		for _, a := range m.group[g] {
			var list []int32
			for _, b := range m.group[g] {
				if b != a {
					list = append(list, b)
				}
			}
			for _, o := range heap {
				list = append(list, m.group[o.g]...)
			}
			m.near[a] = list
		}
	}
}
