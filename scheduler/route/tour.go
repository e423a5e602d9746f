package route

// tourGroups is the largest number of groups for which the shortest tour is
// worked out.
const tourGroups = 12

// tour is the shortest drive of one vehicle through every group, and by way of
// some dump when there is a load, from its start to its end, with the time at
// the dumps. It is found over subsets (Held and Karp 1962). Where travel keeps
// the triangle inequality no day with these groups drives less. It is 0 where it
// does not apply.
func (b *bounder) tour() int64 {
	p := b.p
	if !p.Metric || len(p.Vehicles) != 1 || len(b.groups) > tourGroups {
		return 0
	}
	v := p.Vehicles[0]
	travel := p.Travel[v.Profile]
	// Each node is a set of places of which one is visited.
	var nodes [][]int
	for _, g := range b.groups {
		nodes = append(nodes, []int{g.place})
	}
	if b.trips > 0 {
		var dumps []int
		for _, d := range p.Dumps {
			dumps = append(dumps, d.Place)
		}
		nodes = append(nodes, dumps)
	}
	n := len(nodes)
	least := func(from, to []int) int {
		best := late
		for _, x := range from {
			for _, y := range to {
				best = min(best, travel.Seconds(x, y))
			}
		}
		return best
	}
	between := make([]int, n*n)
	for i := range n {
		for j := range n {
			between[i*n+j] = least(nodes[i], nodes[j])
		}
	}
	best := make([]int, n<<n) // by set of nodes visited and the last of them
	for i := range best {
		best[i] = late
	}
	for i := range n {
		best[1<<i*n+i] = least([]int{v.Start}, nodes[i])
	}
	for set := 1; set < 1<<n; set++ {
		for i := range n {
			t := best[set*n+i]
			if t == late {
				continue
			}
			for j := range n {
				if set>>j&1 == 0 {
					k := (set|1<<j)*n + j
					best[k] = min(best[k], t+between[i*n+j])
				}
			}
		}
	}
	shortest := late
	for i := range n {
		shortest = min(shortest, best[(1<<n-1)*n+i]+least(nodes[i], []int{v.End}))
	}
	return int64(shortest) + b.dumping()
}
