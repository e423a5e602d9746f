package db_test

import (
	"testing"

	"limbround/db/dbtest"
	"limbround/scheduler/jobs/storetest"
)

// The store on PostgreSQL keeps the contract of the write path.
func TestStoreContract(t *testing.T) {
	storetest.Run(t, func(t *testing.T) storetest.Store { return dbtest.New(t) })
}
