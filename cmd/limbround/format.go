package main

import (
	"cmp"
	"fmt"
	"slices"
)

// hm prints minutes as hours and minutes.
func hm(min int) string { return fmt.Sprintf("%d:%02d", min/60, min%60) }

// counted lists words with their counts, the most frequent first.
func counted(m map[string]int) []string {
	words := make([]string, 0, len(m))
	for w := range m {
		words = append(words, w)
	}
	slices.SortFunc(words, func(a, b string) int { return cmp.Or(cmp.Compare(m[b], m[a]), cmp.Compare(a, b)) })
	for i, w := range words {
		words[i] = fmt.Sprintf("%d, %s", m[w], w)
	}
	return words
}
