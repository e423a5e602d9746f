package city

import "math/rand/v2"

// Every part of the city draws from a stream of its own, named by a purpose
// and a number, so that adding a draw to one part leaves the others as they were.
type stream uint64

const (
	streamHood stream = iota + 1
	streamLine
	streamBlock
	streamLight
	streamWire
	streamPlot
	streamTree
	streamDrop
	streamMess
	streamCare
	streamStyle
)

func draw(seed uint64, s stream, id int) *rand.Rand {
	return rand.New(rand.NewPCG(mix(seed+uint64(s)*0x9e3779b97f4a7c15), mix(uint64(id)+uint64(s)<<56)))
}

// mix is the finaliser of SplitMix64 (Steele, Lea & Flood 2014): it spreads
// neighbouring numbers over the whole range.
func mix(z uint64) uint64 {
	z += 0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// between draws a number in [lo, hi).
func between(r *rand.Rand, lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }

// chance is true with probability p.
func chance(r *rand.Rand, p float64) bool { return r.Float64() < p }

// pick draws an element by weight; the weights must not all be zero.
func pick(r *rand.Rand, weights []float64) int {
	sum := 0.0
	for _, w := range weights {
		sum += w
	}
	x := r.Float64() * sum
	last := 0
	for i, w := range weights {
		if w <= 0 {
			continue
		}
		if x < w {
			return i
		}
		x -= w
		last = i
	}
	return last
}

// choose says, n times in turn, whether to keep an element, so that k are kept
// and each set of k is equally likely (selection sampling).
func choose(r *rand.Rand, n, k int) func() bool {
	return func() bool {
		keep := r.IntN(max(n, 1)) < k
		n--
		if keep {
			k--
		}
		return keep
	}
}
