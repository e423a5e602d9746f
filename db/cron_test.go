package db_test

import (
	"testing"

	"limbround/db/dbtest"
	"limbround/scheduler/jobs/storetest"
)

func TestCronContract(t *testing.T) {
	storetest.Cron(t, func(t *testing.T) storetest.CronStore {
		d := dbtest.New(t)
		t.Cleanup(func() {
			marks, jobs := count(t, d, `SELECT count(*) FROM cron_run`), count(t, d, `SELECT count(*) FROM river_job`)
			if marks != jobs || marks == 0 {
				t.Errorf("%d marks and %d jobs, want as many of each", marks, jobs)
			}
		})
		return d
	})
}
