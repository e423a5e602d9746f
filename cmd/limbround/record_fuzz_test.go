package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"limbround/scheduler"
)

// FuzzParseRecords: whatever the bytes, the decoder answers records or an
// Invalid error, and records that it answers come back the same when they are
// written and read again.
func FuzzParseRecords(f *testing.F) {
	seeds, err := filepath.Glob(filepath.Join(byHand, "records", "*.json"))
	if err != nil || len(seeds) == 0 {
		f.Fatalf("no seed records: %v", err)
	}
	for _, name := range seeds {
		b, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b)
	}
	for _, s := range []string{"", "[]", "null", "{}", "[null]", `{"watch":null}`, `[{"tree_id":1}] []`, "\xff", `{"start":"2027-02-30T10:00:00Z"}`} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		list, err := parseRecords(b)
		if err != nil {
			if k := scheduler.KindOf(err); k != scheduler.Invalid {
				t.Fatalf("%q: kind %s: %v", b, k, err)
			}
			return
		}
		for i := range list {
			list[i].Check(list[i].Finish)
		}
		again, err := json.Marshal(list)
		if err != nil {
			return // a time that JSON cannot carry, such as the year 10000
		}
		back, err := parseRecords(again)
		if err != nil {
			t.Fatalf("%q: written as %s: %v", b, again, err)
		}
		if d := cmp.Diff(list, back); d != "" {
			t.Fatalf("%q (-first +again):\n%s", b, d)
		}
	})
}
