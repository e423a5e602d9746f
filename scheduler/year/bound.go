package year

// The bound of a class is a Lagrangian one (Held and Karp 1970; Fisher 1981):
// put a price on each minute of each week and skill pool, let every visit of
// the class take its cheapest week at those prices, and take off what all the
// minutes there are would earn. For any prices of zero or more the result is at
// most the cost of every plan, so the prices may come from a rough search: here
// a subgradient ascent. Traffic set-up is left out, and a class is bounded as
// if it had all the crew time for itself; both only lower the bound.
//
// Visits that look alike (minutes, skill, costs) are counted once.

const ascentSteps = 120

type kind struct {
	t     *task
	count int64
}

// prices are in hundredths of a cost unit per minute, by week and skill pool.
type prices [][3]int64

// bound returns a lower bound on the objective of each class.
func bound(tasks []task, room *capacity) [classes]int64 {
	var out [classes]int64
	for c := range out {
		ks := kinds(tasks, c)
		if len(ks) > 0 {
			out[c] = ascend(ks, room)
		}
	}
	return out
}

func kinds(tasks []task, class int) []kind {
	type key struct {
		level, work, latest int
		last, sum           int64
	}
	seen := map[key][]int{}
	var ks []kind
next:
	for i := range tasks {
		t := &tasks[i]
		if t.class != class {
			continue
		}
		k := key{level: t.level, work: t.work, latest: t.latest, last: t.cost[len(t.cost)-1]}
		for w, c := range t.cost {
			k.sum += int64(w+1) * c
		}
		for _, j := range seen[k] {
			if same(ks[j].t.cost, t.cost) {
				ks[j].count++
				continue next
			}
		}
		seen[k] = append(seen[k], len(ks))
		ks = append(ks, kind{t, 1})
	}
	return ks
}

func same(a, b []int64) bool {
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// ascend looks for good prices and returns the best bound met, never below 0.
func ascend(ks []kind, room *capacity) int64 {
	n := len(room.pool)
	p := make(prices, n)
	var best int64
	for step := range ascentSteps {
		use := make([][3]int64, n)
		if b := dualValue(ks, room, p, use); b > best {
			best = b
		}
		// A shrinking step along the overload of each pool, scaled by its size.
		for w := range p {
			for l := range p[w] {
				size := int64(room.pool[w][l])
				over := use[w][l] - size
				if size == 0 {
					size = 1
				}
				g := 400 * over / size / int64(4+step)
				p[w][l] = max(0, p[w][l]+max(-50, min(50, g)))
			}
		}
	}
	return best
}

// dualValue is the Lagrangian value at the given prices, rounded down; use
// receives the minutes that the visits would take of each pool.
func dualValue(ks []kind, room *capacity, p prices, use [][3]int64) int64 {
	var total int64 // hundredths
	n := len(p)
	for _, k := range ks {
		bestW, bestC := n, 100*k.t.cost[n]
		for w := range n {
			if k.t.cost[w] == never {
				continue
			}
			c := 100 * k.t.cost[w]
			for l := k.t.level; l < len(skills); l++ {
				c += p[w][l] * int64(k.t.work)
			}
			if c < bestC {
				bestW, bestC = w, c
			}
		}
		total += k.count * bestC
		if bestW < n && use != nil {
			for l := k.t.level; l < len(skills); l++ {
				use[bestW][l] += k.count * int64(k.t.work)
			}
		}
	}
	for w := range p {
		for l := range p[w] {
			total -= p[w][l] * int64(room.pool[w][l])
		}
	}
	if total <= 0 {
		return 0
	}
	return (total + 99) / 100 // costs are whole, so a bound of 6.2 is a bound of 7
}
