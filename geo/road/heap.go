package road

// search is the reusable workspace of one shortest-path search over arcs: the
// milliseconds until a truck starts to drive an arc, and a binary heap with
// lazy deletion. Only the arcs that a search touched are cleared before the
// next.
type search struct {
	dist    []int32
	done    []bool
	touched []int32
	heap    []entry
}

type entry struct{ ms, arc int32 }

const far = int32(1) << 30

func newSearch(arcs int) *search {
	s := &search{dist: make([]int32, arcs), done: make([]bool, arcs)}
	for i := range s.dist {
		s.dist[i] = far
	}
	return s
}

func (s *search) reset() {
	for _, a := range s.touched {
		s.dist[a], s.done[a] = far, false
	}
	s.touched, s.heap = s.touched[:0], s.heap[:0]
}

func (s *search) reach(a, ms int32) {
	if ms >= s.dist[a] {
		return
	}
	if s.dist[a] == far {
		s.touched = append(s.touched, a)
	}
	s.dist[a] = ms
	h := append(s.heap, entry{ms, a})
	i := len(h) - 1
	for i > 0 {
		up := (i - 1) / 2
		if h[up].ms <= ms {
			break
		}
		h[i] = h[up]
		i = up
	}
	h[i] = entry{ms, a}
	s.heap = h
}

func (s *search) pop() entry {
	h := s.heap
	top, last := h[0], h[len(h)-1]
	h = h[:len(h)-1]
	s.heap = h
	if len(h) == 0 {
		return top
	}
	i := 0
	for {
		c := 2*i + 1
		if c >= len(h) {
			break
		}
		if c+1 < len(h) && h[c+1].ms < h[c].ms {
			c++
		}
		if h[c].ms >= last.ms {
			break
		}
		h[i] = h[c]
		i = c
	}
	h[i] = last
	return top
}
