package city

import (
	"limbround/geo"
)

// connected returns the blocks of the largest part of the network in which a
// car can get from every junction to every other. With mend, one-way blocks
// that lead out of that part or into it are first opened to both directions,
// so that nothing is lost but what hangs on no street at all.
func connected(streets []block, mend bool) []block {
	out := make([]block, 0, len(streets))
	ids := map[geo.Point]int{}
	node := func(p geo.Point) int {
		id, ok := ids[p]
		if !ok {
			id = len(ids)
			ids[p] = id
		}
		return id
	}
	ends := make([][2]int, len(streets))
	for i := range streets {
		line := streets[i].Line
		ends[i] = [2]int{node(line[0]), node(line[len(line)-1])}
	}
	in := mainPart(streets, ends, len(ids))
	for mend {
		opened := false
		for i := range streets {
			a, b := in[ends[i][0]], in[ends[i][1]]
			if s := &streets[i]; (a != b) && s.OneWay != "no" {
				s.OneWay, opened = "no", true
			}
		}
		if !opened {
			break
		}
		in = mainPart(streets, ends, len(ids))
	}
	for i := range streets {
		if in[ends[i][0]] && in[ends[i][1]] {
			out = append(out, streets[i])
		}
	}
	return out
}

// mainPart marks the junctions of the largest strongly connected part
// (Tarjan's algorithm with a stack of its own instead of recursion).
func mainPart(streets []block, ends [][2]int, n int) []bool {
	next := make([][]int32, n)
	for i := range streets {
		a, b := ends[i][0], ends[i][1]
		if streets[i].OneWay != "backward" {
			next[a] = append(next[a], int32(b))
		}
		if streets[i].OneWay != "forward" {
			next[b] = append(next[b], int32(a))
		}
	}
	order := make([]int32, n) // 0 is not seen
	low := make([]int32, n)
	part := make([]int32, n)
	pos := make([]int32, n)
	var stack, call []int32
	var size []int32
	seen := int32(0)
	for root := range n {
		if order[root] != 0 {
			continue
		}
		call = append(call[:0], int32(root))
		for len(call) > 0 {
			v := call[len(call)-1]
			if order[v] == 0 {
				seen++
				order[v], low[v] = seen, seen
				stack = append(stack, v)
			}
			if k := pos[v]; int(k) < len(next[v]) {
				pos[v]++
				w := next[v][k]
				switch {
				case order[w] == 0:
					call = append(call, w)
				case part[w] == 0:
					low[v] = min(low[v], order[w])
				}
				continue
			}
			call = call[:len(call)-1]
			if len(call) > 0 {
				low[call[len(call)-1]] = min(low[call[len(call)-1]], low[v])
			}
			if low[v] == order[v] {
				size = append(size, 0)
				for {
					w := stack[len(stack)-1]
					stack = stack[:len(stack)-1]
					part[w] = int32(len(size))
					size[len(size)-1]++
					if w == v {
						break
					}
				}
			}
		}
	}
	best := int32(0)
	for i, s := range size {
		if best == 0 || s > size[best-1] {
			best = int32(i) + 1
		}
	}
	in := make([]bool, n)
	for v := range in {
		in[v] = best > 0 && part[v] == best
	}
	return in
}
