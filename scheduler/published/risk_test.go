package published

import (
	"slices"
	"testing"

	"limbround/scheduler"
)

// The words of both matrices, least first.
var (
	failures     = []string{"improbable", "possible", "probable", "imminent"}
	impacts      = []string{"very_low", "low", "medium", "high"}
	likelihoods  = []string{"unlikely", "somewhat likely", "likely", "very likely"}
	consequences = []string{"negligible", "minor", "significant", "severe"}
	ratings      = []string{"low", "moderate", "high", "extreme"}
)

// matrix reads a table of four words by four words.
func matrix(t testing.TB, name, key string, rows, columns, words []string) map[[2]string]string {
	t.Helper()
	out := map[[2]string]string{}
	for _, r := range table(t, name, len(rows)) {
		if !slices.Contains(rows, r.text(key)) {
			t.Errorf("%s: row %q", name, r.text(key))
		}
		for _, c := range columns {
			if !slices.Contains(words, r.text(c)) {
				t.Errorf("%s: cell %q", name, r.text(c))
			}
			out[[2]string{r.text(key), c}] = r.text(c)
		}
	}
	if len(out) != 16 {
		t.Fatalf("%s has %d cells, want 16", name, len(out))
	}
	return out
}

func likelihood(t testing.TB) map[[2]string]string {
	return matrix(t, "risk_likelihood", "failure", failures, impacts, likelihoods)
}

func rating(t testing.TB) map[[2]string]string {
	return matrix(t, "risk_rating", "likelihood", likelihoods, consequences, ratings)
}

// The cells of the second matrix are counted as in print, and in neither matrix
// does a worse row or column give a better word.
func TestRiskMatrices(t *testing.T) {
	first, second := likelihood(t), rating(t)
	count := map[string]int{}
	for _, w := range second {
		count[w]++
	}
	if count["low"] != 8 || count["moderate"] != 4 || count["high"] != 3 || count["extreme"] != 1 {
		t.Errorf("ratings %v, want 8 low, 4 moderate, 3 high, 1 extreme", count)
	}
	rises := func(m map[[2]string]string, rows, columns, words []string) {
		for i, r := range rows {
			for j, c := range columns {
				at := slices.Index(words, m[[2]string{r, c}])
				if i > 0 && slices.Index(words, m[[2]string{rows[i-1], c}]) > at || j > 0 && slices.Index(words, m[[2]string{r, columns[j-1]}]) > at {
					t.Errorf("%s, %s: %s", r, c, m[[2]string{r, c}])
				}
			}
		}
	}
	rises(first, failures, impacts, likelihoods)
	rises(second, likelihoods, consequences, ratings)
}

// The program reads both matrices cell by cell as they are published, and opens
// the class of days for what is rated high or extreme, and for nothing less.
func TestRiskAsPublished(t *testing.T) {
	first, second := likelihood(t), rating(t)
	seen := map[[2]string]bool{}
	for at, l := range first {
		for _, c := range consequences {
			got, err := scheduler.Risk(at[0], at[1], c, 3)
			want := second[[2]string{l, c}]
			if err != nil || got.Likelihood != l || got.Rating != want {
				t.Errorf("%v and %s: %s, %s, %v; published %s, %s", at, c, got.Likelihood, got.Rating, err, l, want)
			}
			if (got.Class == 1) != (want == "high" || want == "extreme") {
				t.Errorf("%v and %s: %s opens class %d", at, c, want, got.Class)
			}
			seen[[2]string{l, c}] = true
		}
	}
	if len(seen) != 16 {
		t.Errorf("%d cells of the second matrix were read", len(seen))
	}
}

func TestOccupancyWords(t *testing.T) {
	var occupancy, zones []string
	for _, r := range table(t, "risk_occupancy", 7) {
		if r.text("kind") == "zone" {
			zones = append(zones, r.text("word"))
		} else {
			occupancy = append(occupancy, r.text("word"))
		}
	}
	if !slices.Equal(occupancy, []string{"rare", "occasional", "frequent", "constant"}) || len(zones) != 3 {
		t.Errorf("occupancy %v, zones %v", occupancy, zones)
	}
}
