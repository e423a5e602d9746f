package jobs

import (
	"slices"
	"unicode/utf8"
)

// nearest returns up to n words of the list with the smallest edit distance to
// s, nearest first, when it is small for the length of s.
func nearest(s string, list []string, n int) []string {
	length := utf8.RuneCountInString(s)
	if length > 100 {
		return nil // no name is that long
	}
	limit := min(3, max(1, length/4))
	type near struct {
		word string
		d    int
	}
	var found []near
	for _, w := range list {
		if n := utf8.RuneCountInString(w) - length; n > limit || -n > limit {
			continue
		}
		if d := editDistance(s, w, limit); d <= limit {
			found = append(found, near{w, d})
		}
	}
	slices.SortStableFunc(found, func(a, b near) int { return a.d - b.d })
	var out []string
	for _, f := range found[:min(n, len(found))] {
		out = append(out, f.word)
	}
	return out
}

// editDistance counts insertions, deletions, substitutions and swaps of
// neighbours that turn a into b (optimal string alignment); anything above
// limit is returned as limit+1.
func editDistance(a, b string, limit int) int {
	x, y := []rune(a), []rune(b)
	if len(x)-len(y) > limit || len(y)-len(x) > limit {
		return limit + 1
	}
	before, prev, cur := make([]int, len(y)+1), make([]int, len(y)+1), make([]int, len(y)+1)
	for j := range prev {
		prev[j] = j
	}
	for i := 1; i <= len(x); i++ {
		cur[0] = i
		best := i
		for j := 1; j <= len(y); j++ {
			cost := 1
			if x[i-1] == y[j-1] {
				cost = 0
			}
			cur[j] = min(prev[j]+1, cur[j-1]+1, prev[j-1]+cost)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				cur[j] = min(cur[j], before[j-2]+1)
			}
			best = min(best, cur[j])
		}
		if best > limit {
			return limit + 1
		}
		before, prev, cur = prev, cur, before
	}
	return min(prev[len(y)], limit+1)
}
