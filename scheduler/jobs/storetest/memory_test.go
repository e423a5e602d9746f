package storetest_test

import (
	"testing"

	"limbround/scheduler/jobs/storetest"
)

// The store in memory keeps the contract of the write path.
func TestMemoryContract(t *testing.T) {
	storetest.Run(t, func(t *testing.T) storetest.Store { return storetest.NewMemory(t) })
}

func TestMemoryCronContract(t *testing.T) {
	storetest.Cron(t, func(t *testing.T) storetest.CronStore { return storetest.NewMemory(t) })
}
