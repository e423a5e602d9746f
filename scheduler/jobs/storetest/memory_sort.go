package storetest

import (
	"cmp"
	"slices"

	"limbround/scheduler"
)

// sortBy orders a list by keys, the first one first, and keeps the order of
// equals. A key is text, a number, or true after false. A date's zero stands for "none"
// and comes last, as it does in a database; none comes first where noneFirst says so.
func sortBy[T any](list []T, keys func(*T) []any) {
	slices.SortStableFunc(list, func(a, b T) int {
		x, y := keys(&a), keys(&b)
		for i := range x {
			if c := compare(x[i], y[i]); c != 0 {
				return c
			}
		}
		return 0
	})
}

// noneFirst is a date that comes first when there is none.
type noneFirst scheduler.Date

func compare(x, y any) int {
	switch x := x.(type) {
	case string:
		return cmp.Compare(x, y.(string))
	case int:
		return cmp.Compare(x, y.(int))
	case int64:
		return cmp.Compare(x, y.(int64))
	case float64:
		return cmp.Compare(x, y.(float64))
	case noneFirst:
		return cmp.Compare(x, y.(noneFirst))
	case scheduler.Date:
		return cmp.Compare(uint32(x)-1, uint32(y.(scheduler.Date))-1)
	case bool:
		if x == y.(bool) {
			return 0
		} else if x {
			return 1
		}
		return -1
	}
	panic("sortBy: a key of another type")
}
