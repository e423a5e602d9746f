package year

// The bound of a class is a Lagrangian one (Held and Karp 1970; Fisher 1981):
// put a price on each minute of each week and skill pool, let every visit of
// the class take its cheapest week at those prices, and take off what all the
// minutes there are would earn. For any prices of zero or more the result is at
// most the cost of every plan, so the prices may come from a rough search: here
// a subgradient ascent. A class is bounded as if it had all the crew time for
// itself, which only lowers the bound.
//
// Traffic set-up is charged in shares. Whoever pays for opening a block face in
// a week, the face's visits of a class done there that week take their work and
// at least the smallest set-up s of the face's visits, once. They are at most
// the n visits of the class on that face, so that work and s/n (rounded down)
// for each of them is no more than what is really taken; each class counts its
// own n, since it has the crew time for itself. The payer may be any visit of
// the face: the minutes are sure to be in the pool of the commonest skill among
// them and in the wider ones, and the shares are charged there alone. A visit
// without a face pays its own set-up.
//
// Visits that look alike (minutes, skill, set-up, costs) are counted once.

const ascentSteps = 120

type kind struct {
	t     *task
	count int64
}

// share gives every task its part of the traffic set-up of its face.
func share(tasks []task, items []Item, setUp func(*Item) int) {
	type face struct {
		least, level int
		count        [classes]int
	}
	faces := map[int64]*face{}
	for i := range tasks {
		t := &tasks[i]
		it := &items[t.item]
		s := setUp(it)
		if it.FaceID == 0 {
			t.share, t.shareFrom = s, t.level
			continue
		}
		f := faces[it.FaceID]
		if f == nil {
			f = &face{least: s}
			faces[it.FaceID] = f
		}
		f.least, f.level = min(f.least, s), max(f.level, t.level)
		f.count[t.class]++
	}
	for i := range tasks {
		t := &tasks[i]
		if f := faces[items[t.item].FaceID]; f != nil {
			t.share, t.shareFrom = f.least/f.count[t.class], f.level
		}
	}
}

// minutes is what the task is sure to take of the pool of a skill.
func (t *task) minutes(pool int) int64 {
	if pool >= t.shareFrom {
		return int64(t.work + t.share)
	}
	return int64(t.work)
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
		level, work, share, from, latest int
		last, sum                        int64
	}
	seen := map[key][]int{}
	var ks []kind
next:
	for i := range tasks {
		t := &tasks[i]
		if t.class != class {
			continue
		}
		k := key{level: t.level, work: t.work, share: t.share, from: t.shareFrom, latest: t.latest, last: t.cost[len(t.cost)-1]}
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
				c += p[w][l] * k.t.minutes(l)
			}
			if c < bestC {
				bestW, bestC = w, c
			}
		}
		total += k.count * bestC
		if bestW < n && use != nil {
			for l := k.t.level; l < len(skills); l++ {
				use[bestW][l] += k.count * k.t.minutes(l)
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
