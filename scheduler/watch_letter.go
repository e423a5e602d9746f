package scheduler

// Letters name the watch items of one tree on cards and on the tree's own
// tags: A to Z, then AA to ZZ. A letter is never used for a second thing on the
// same tree while the first is on record, so that a late record cannot mean
// another branch.

// letterRank is 1 for A, 26 for Z, 27 for AA ...; 0 for what is no letter.
func letterRank(s string) int {
	if len(s) != 1 && len(s) != 2 {
		return 0
	}
	n := 0
	for i := range len(s) {
		if s[i] < 'A' || s[i] > 'Z' {
			return 0
		}
		n = n*26 + int(s[i]-'A') + 1
	}
	return n
}

// letterOf is the inverse of letterRank for 1 to 702, empty outside.
func letterOf(n int) string {
	switch {
	case n < 1 || n > 702:
		return ""
	case n <= 26:
		return string(rune('A' + n - 1))
	default:
		n -= 27
		return string(rune('A'+n/26)) + string(rune('A'+n%26))
	}
}

// nextLetter returns the letter after the highest one in use.
func nextLetter(items []WatchItem) string {
	top := 0
	for i := range items {
		top = max(top, letterRank(items[i].Letter))
	}
	return letterOf(top + 1)
}
