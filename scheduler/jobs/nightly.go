package jobs

import "limbround/scheduler"

// Nightly is the schedule of every server: the due visits are renewed each
// night, after the city's midnight has set a new today.
func Nightly() []Schedule {
	return []Schedule{{
		Name: "due", Spec: "15 2 * * *",
		Args: func(day scheduler.Date) scheduler.JobArgs { return DueArgs{AsOf: day, Actor: "schedule"} },
	}}
}
