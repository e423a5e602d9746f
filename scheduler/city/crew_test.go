package city

import "testing"

// Plain chips always have a place to go, and so has the wood that stays in its zone.
func TestDumpsTakeEverything(t *testing.T) {
	for _, r := range append([]Request{{Trees: 310_000, Seed: 2}}, sizes...) {
		plain, flagged := 0, 0
		for e := range mustMake(t, r).Rows("dumps") {
			switch e.Row.Values[3] {
			case nil:
				plain++
			case "ash_wood elm_wood oak_wood":
				flagged++
			}
		}
		if plain < 1 || flagged != 1 {
			t.Errorf("%+v: %d dumps for plain chips, %d for flagged wood", r, plain, flagged)
		}
	}
}
