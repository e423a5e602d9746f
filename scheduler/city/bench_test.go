package city

import "testing"

// BenchmarkTrees makes a city and all its trees and visits, without files.
func BenchmarkTrees(b *testing.B) {
	for b.Loop() {
		n := 0
		for s := range mustMake(b, Request{Trees: 50000, Seed: 1}).Trees() {
			n += 1 + len(s.History)
		}
		b.ReportMetric(float64(n), "rows/op")
	}
}
