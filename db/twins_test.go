package db_test

import (
	"fmt"
	"testing"

	"limbround/db/dbtest"
	"limbround/scheduler/jobs/storetest"
)

// PostgreSQL and the store in memory answer alike, whatever is done to them.
func TestStoresAgree(t *testing.T) {
	for _, seed := range []uint64{1, 11, 16} {
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) {
			t.Parallel()
			storetest.Twins(t, dbtest.New(t), storetest.NewMemory(t), seed, 40)
		})
	}
}
